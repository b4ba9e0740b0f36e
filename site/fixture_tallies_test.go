package site

import (
	"cmp"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

// partSum gathers the route-storms of one part, in pounds, lane-miles and hours, as the fixture's own rows have them.
type partSum struct {
	row                                                   rows.Tally
	storms                                                map[string]bool
	applied, placed, measured, treated, route, withPounds float64
	bareMiles, bareHours, airMiles, airDegrees            float64
	weighedPlaced, weighedReported, weighedMiles          float64
}

func (p *partSum) add(row rows.StormRoute, zone rows.Storm, weighed *rows.StormRouteCorrected) {
	miles := *row.RouteLaneMiles
	p.storms[row.StormID] = true
	p.row.RouteStorms++
	p.route, p.treated = p.route+miles, p.treated+*row.TreatedLaneMiles
	if row.AppliedLb != nil {
		p.applied, p.withPounds = p.applied+*row.AppliedLb, p.withPounds+miles
		p.placed, p.measured = p.placed+*row.AppliedLb-rows.OrZero(row.UnplacedLb), p.measured+*row.MeasuredLaneMiles
		if weighed != nil && weighed.CorrectedRate != nil {
			p.row.Weighed++
			p.weighedPlaced += *weighed.CorrectedRate * *row.MeasuredLaneMiles
			p.weighedReported += *row.AppliedLb - rows.OrZero(row.UnplacedLb)
			p.weighedMiles += *row.MeasuredLaneMiles
		}
	}
	if row.IsBareInCap != nil {
		p.bareMiles, p.bareHours = p.bareMiles+miles, p.bareHours+miles**row.CappedRegainH
		if *row.IsBareInCap {
			p.row.Bare++
		} else {
			p.row.NotBare++
		}
	} else if row.RegainState == "open" {
		p.row.RegainOpen++
	}
	if zone.AirFMean != nil {
		p.airMiles, p.airDegrees = p.airMiles+miles, p.airDegrees+miles**zone.AirFMean
	}
	p.row.SurfaceFMin = rows.Lower(p.row.SurfaceFMin, zone.SurfaceFMin)
	if p.row.BeganAt.IsZero() || zone.BeganAt.Before(p.row.BeganAt) {
		p.row.BeganAt = zone.BeganAt
	}
	p.row.IsOpen = p.row.IsOpen || zone.IsOpen
}

func (p *partSum) tally() rows.Tally {
	t := p.row
	t.Storms = int64(len(p.storms))
	if p.withPounds > 0 {
		t.AppliedLb = new(p.applied)
	}
	t.RateLbPerLaneMi, t.StormLbPerLaneMi = rows.RatioOf(p.placed, p.measured), rows.RatioOf(p.applied, p.withPounds)
	t.Applications = rows.RatioOf(p.treated, p.route)
	t.RegainH, t.AirFMean = rows.RatioOf(p.bareHours, p.bareMiles), rows.RatioOf(p.airDegrees, p.airMiles)
	t.WeighedRate, t.ReportedRate = rows.RatioOf(p.weighedPlaced, p.weighedMiles), rows.RatioOf(p.weighedReported, p.weighedMiles)
	return t
}

// tallied gives data the rows of tallies and season_dates that its storms and routes come to.
func tallied(data *book.Data) *book.Data {
	b, err := book.NewBook(data)
	if err != nil {
		panic(err)
	}
	data.SeasonDates = nil
	for n, season := range slices.Backward(b.Seasons) {
		row := rows.SeasonDate{Season: season}
		if years := len(b.Seasons) - 1 - n; years > 0 && data.AsOf != nil {
			row.SameDateAt = new(data.AsOf.In(b.Clock.Zone).AddDate(-years, 0, 0)) // the fixture's seasons follow each other
		}
		data.SeasonDates = append(data.SeasonDates, row)
	}
	thirds := thirdsOf(b)
	sums, order := map[rows.TallyKey]*partSum{}, []rows.TallyKey{}
	for _, e := range b.Events {
		for _, row := range b.RowsByStorm[e.ID] {
			if row.Form != rows.Solid {
				continue
			}
			zone, _ := b.ZoneRow(row.StormID, row.ZoneID)
			for _, key := range partsOf(b, e, row, thirds) {
				if sums[key] == nil {
					sums[key] = &partSum{storms: map[string]bool{},
						row: rows.Tally{Part: key.Part, Season: key.Season, StormID: key.StormID,
							ZoneID: key.ZoneID, Watershed: key.Watershed, RouteID: key.RouteID, CrewID: key.CrewID,
							MaterialClass: key.Class}}
					order = append(order, key)
				}
				sums[key].add(row, zone, row.Corrected)
			}
		}
	}
	data.Tallies = nil
	for _, key := range order {
		data.Tallies = append(data.Tallies, sums[key].tally())
	}
	return data
}

// classInStorm names a class in a storm.
type classInStorm struct{ stormID, class string }

// thirdsOf tells of each closed storm with a rate of a class whether it is in the first or the latest third of those.
func thirdsOf(b *book.Book) map[classInStorm]string {
	thirds := map[classInStorm]string{}
	for _, season := range b.Seasons {
		for _, class := range []string{rows.Acetate, rows.Chloride} {
			var rated []string
			for _, e := range b.EventsOf(season) {
				if !e.IsOpen && slices.ContainsFunc(b.RowsByStorm[e.ID], func(r rows.StormRoute) bool {
					return r.MaterialClass == class && r.Form == rows.Solid && r.RateLbPerLaneMi != nil
				}) {
					rated = append(rated, e.ID)
				}
			}
			for i, id := range rated {
				switch third := len(rated) / 3; {
				case i < third:
					thirds[classInStorm{id, class}] = rows.PartFirstThird
				case i >= len(rated)-third:
					thirds[classInStorm{id, class}] = rows.PartLatestThird
				}
			}
		}
	}
	return thirds
}

// partsOf names the parts that a route-storm belongs to.
func partsOf(b *book.Book, e book.Event, row rows.StormRoute, thirds map[classInStorm]string) []rows.TallyKey {
	season, class, watershed := e.Season, row.MaterialClass, b.Routes[row.RouteID].Watershed
	keys := []rows.TallyKey{{Part: rows.PartStorm, Season: season, StormID: e.ID, Class: class},
		{Part: rows.PartStormZone, Season: season, StormID: e.ID, ZoneID: row.ZoneID, Class: class},
		{Part: rows.PartStormWatershed, Season: season, StormID: e.ID, Watershed: watershed},
		{Part: rows.PartSeasonWatershed, Season: season, Watershed: watershed}}
	if e.IsOpen {
		return keys
	}
	keys = append(keys, rows.TallyKey{Part: rows.PartSeason, Season: season, Class: class},
		rows.TallyKey{Part: rows.PartRoute, Season: season, RouteID: row.RouteID, Class: class})
	if date := seasonDateOf(b.Data, season); date != nil && e.BeganAt.Before(*date) {
		keys = append(keys, rows.TallyKey{Part: rows.PartSeasonToDate, Season: season, Class: class},
			rows.TallyKey{Part: rows.PartRouteToDate, Season: season, RouteID: row.RouteID, Class: class})
	}
	if third := thirds[classInStorm{e.ID, class}]; third != "" {
		keys = append(keys, rows.TallyKey{Part: third, Season: season, Class: class})
	}
	if class == rows.Acetate || class == rows.Chloride {
		keys = append(keys, rows.TallyKey{Part: rows.PartRouteRoads, Season: season, RouteID: row.RouteID})
		for _, crewID := range b.CrewsInSeason[book.SeasonRoute{Season: season, RouteID: row.RouteID}] {
			keys = append(keys, rows.TallyKey{Part: rows.PartCrewRoads, Season: season, CrewID: crewID})
		}
	}
	return keys
}

func seasonDateOf(data *book.Data, season string) *time.Time {
	for _, s := range data.SeasonDates {
		if s.Season == season {
			return s.SameDateAt
		}
	}
	return nil
}

// stormTallies are the rows of tallies by storm and class, in their order.
func stormTallies(data *book.Data) []*rows.Tally {
	var list []*rows.Tally
	for i := range data.Tallies {
		if data.Tallies[i].Part == rows.PartStorm {
			list = append(list, &data.Tallies[i])
		}
	}
	return list
}

// costSumsOf adds up what the routes' rows cost, by storm and by route.
func costSumsOf(records []rows.StormRoute) []rows.CostSum {
	usd, route, treated := map[rows.CostSum]float64{}, map[rows.CostSum]float64{}, map[rows.CostSum]float64{}
	for _, row := range records {
		for _, key := range []rows.CostSum{{Part: "storm", Season: row.Season, StormID: row.StormID, MaterialClass: row.MaterialClass},
			{Part: "route", Season: row.Season, RouteID: row.RouteID, MaterialClass: row.MaterialClass}} {
			usd[key], route[key], treated[key] = usd[key]+*row.CostUsd, route[key]+*row.RouteLaneMiles, treated[key]+*row.TreatedLaneMiles
		}
	}
	var list []rows.CostSum
	for key := range usd {
		sum := key
		sum.Usd, sum.UsdPerLaneMi, sum.UsdPerTreatedLaneMi = new(usd[key]), rows.RatioOf(usd[key], route[key]), rows.RatioOf(usd[key],
			treated[key])
		list = append(list, sum)
	}
	slices.SortFunc(list, func(x, y rows.CostSum) int {
		return cmp.Or(cmp.Compare(x.Part, y.Part), cmp.Compare(x.Season, y.Season), cmp.Compare(x.StormID, y.StormID),
			cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	return list
}
