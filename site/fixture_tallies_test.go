package site

import (
	"cmp"
	"slices"
	"time"
)

// partSum gathers the route-storms of one part, in pounds, lane-miles and hours, as the fixture's own rows have them.
type partSum struct {
	row                                                              Tally
	storms                                                           map[string]bool
	applied, placed, measured, treated, route, withPounds            float64
	bareMiles, bareHours, airMiles, airDegrees                       float64
	weighedPlaced, weighedReported, weighedMiles, weighedRouteStorms float64
}

func (p *partSum) add(row StormRoute, zone Storm, weighed *StormRouteCorrected) {
	miles := *row.RouteLaneMiles
	p.storms[row.StormID] = true
	p.row.RouteStorms++
	p.route, p.treated = p.route+miles, p.treated+*row.TreatedLaneMiles
	if row.AppliedLb != nil {
		p.applied, p.withPounds = p.applied+*row.AppliedLb, p.withPounds+miles
		p.placed, p.measured = p.placed+*row.AppliedLb-orZero(row.UnplacedLb), p.measured+*row.MeasuredLaneMiles
		if weighed != nil && weighed.CorrectedRate != nil {
			p.row.Weighed++
			p.weighedPlaced += *weighed.CorrectedRate * *row.MeasuredLaneMiles
			p.weighedReported += *row.AppliedLb - orZero(row.UnplacedLb)
			p.weighedMiles += *row.MeasuredLaneMiles
		}
	}
	switch row.RegainState {
	case "bare":
		p.row.Bare++
		p.bareMiles, p.bareHours = p.bareMiles+miles, p.bareHours+miles**row.RegainH
	case "not bare":
		p.row.NotBare++
	case "open":
		p.row.RegainOpen++
	}
	if zone.AirFMean != nil {
		p.airMiles, p.airDegrees = p.airMiles+miles, p.airDegrees+miles**zone.AirFMean
	}
	p.row.SurfaceFMin = lower(p.row.SurfaceFMin, zone.SurfaceFMin)
	if p.row.BeganAt.IsZero() || zone.BeganAt.Before(p.row.BeganAt) {
		p.row.BeganAt = zone.BeganAt
	}
	p.row.IsOpen = p.row.IsOpen || zone.IsOpen
}

func (p *partSum) tally() Tally {
	t := p.row
	t.Storms = int64(len(p.storms))
	if p.withPounds > 0 {
		t.AppliedLb = new(p.applied)
	}
	t.RateLbPerLaneMi, t.StormLbPerLaneMi = ratio(p.placed, p.measured), ratio(p.applied, p.withPounds)
	t.Applications = ratio(p.treated, p.route)
	t.RegainH, t.AirFMean = ratio(p.bareHours, p.bareMiles), ratio(p.airDegrees, p.airMiles)
	t.WeighedRate, t.ReportedRate = ratio(p.weighedPlaced, p.weighedMiles), ratio(p.weighedReported, p.weighedMiles)
	return t
}

// tallied gives data the rows of tallies and season_dates that its storms and routes come to.
func tallied(data *Data) *Data {
	b, err := newBook(data)
	if err != nil {
		panic(err)
	}
	data.SeasonDates = nil
	for n, season := range slices.Backward(b.seasons) {
		row := SeasonDate{Season: season}
		if years := len(b.seasons) - 1 - n; years > 0 && data.AsOf != nil {
			row.SameDateAt = new(data.AsOf.In(b.clock.zone).AddDate(-years, 0, 0)) // the fixture's seasons follow each other
		}
		data.SeasonDates = append(data.SeasonDates, row)
	}
	thirds := b.thirdsOf()
	sums, order := map[tallyKey]*partSum{}, []tallyKey{}
	for _, e := range b.events {
		for _, row := range b.rowsByStorm[e.ID] {
			if row.Form != solid {
				continue
			}
			zone, _ := b.zoneRow(row.StormID, row.ZoneID)
			for _, key := range b.partsOf(e, row, thirds) {
				if sums[key] == nil {
					sums[key] = &partSum{storms: map[string]bool{}, row: Tally{Part: key.part, Season: key.season, StormID: key.stormID,
						ZoneID: key.zoneID, Watershed: key.watershed, RouteID: key.routeID, CrewID: key.crewID, MaterialClass: key.class}}
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
func (b *book) thirdsOf() map[classInStorm]string {
	thirds := map[classInStorm]string{}
	for _, season := range b.seasons {
		for _, class := range []string{acetate, chloride} {
			var rated []string
			for _, e := range b.eventsOf(season) {
				if !e.IsOpen && slices.ContainsFunc(b.rowsByStorm[e.ID], func(r StormRoute) bool {
					return r.MaterialClass == class && r.Form == solid && r.RateLbPerLaneMi != nil
				}) {
					rated = append(rated, e.ID)
				}
			}
			for i, id := range rated {
				switch third := len(rated) / 3; {
				case i < third:
					thirds[classInStorm{id, class}] = partFirstThird
				case i >= len(rated)-third:
					thirds[classInStorm{id, class}] = partLatestThird
				}
			}
		}
	}
	return thirds
}

// partsOf names the parts that a route-storm belongs to.
func (b *book) partsOf(e event, row StormRoute, thirds map[classInStorm]string) []tallyKey {
	season, class, watershed := e.Season, row.MaterialClass, b.routes[row.RouteID].Watershed
	keys := []tallyKey{{part: partStorm, season: season, stormID: e.ID, class: class},
		{part: partStormZone, season: season, stormID: e.ID, zoneID: row.ZoneID, class: class},
		{part: partStormWatershed, season: season, stormID: e.ID, watershed: watershed},
		{part: partSeasonWatershed, season: season, watershed: watershed}}
	if e.IsOpen {
		return keys
	}
	keys = append(keys, tallyKey{part: partSeason, season: season, class: class},
		tallyKey{part: partRoute, season: season, routeID: row.RouteID, class: class})
	if date := seasonDateOf(b.data, season); date != nil && e.BeganAt.Before(*date) {
		keys = append(keys, tallyKey{part: partSeasonToDate, season: season, class: class},
			tallyKey{part: partRouteToDate, season: season, routeID: row.RouteID, class: class})
	}
	if third := thirds[classInStorm{e.ID, class}]; third != "" {
		keys = append(keys, tallyKey{part: third, season: season, class: class})
	}
	if class == acetate || class == chloride {
		keys = append(keys, tallyKey{part: partRouteRoads, season: season, routeID: row.RouteID})
		for _, crewID := range b.crewsInSeason[seasonRoute{season, row.RouteID}] {
			keys = append(keys, tallyKey{part: partCrewRoads, season: season, crewID: crewID})
		}
	}
	return keys
}

func seasonDateOf(data *Data, season string) *time.Time {
	for _, s := range data.SeasonDates {
		if s.Season == season {
			return s.SameDateAt
		}
	}
	return nil
}

// stormTallies are the rows of tallies by storm and class, in their order.
func stormTallies(data *Data) []*Tally {
	var list []*Tally
	for i := range data.Tallies {
		if data.Tallies[i].Part == partStorm {
			list = append(list, &data.Tallies[i])
		}
	}
	return list
}

// costSumsOf adds up what the routes' rows cost, by storm and by route.
func costSumsOf(rows []StormRoute) []CostSum {
	usd, route, treated := map[CostSum]float64{}, map[CostSum]float64{}, map[CostSum]float64{}
	for _, row := range rows {
		for _, key := range []CostSum{{Part: "storm", Season: row.Season, StormID: row.StormID, MaterialClass: row.MaterialClass},
			{Part: "route", Season: row.Season, RouteID: row.RouteID, MaterialClass: row.MaterialClass}} {
			usd[key], route[key], treated[key] = usd[key]+*row.CostUsd, route[key]+*row.RouteLaneMiles, treated[key]+*row.TreatedLaneMiles
		}
	}
	var list []CostSum
	for key := range usd {
		sum := key
		sum.Usd, sum.UsdPerLaneMi, sum.UsdPerTreatedLaneMi = new(usd[key]), ratio(usd[key], route[key]), ratio(usd[key], treated[key])
		list = append(list, sum)
	}
	slices.SortFunc(list, func(x, y CostSum) int {
		return cmp.Or(cmp.Compare(x.Part, y.Part), cmp.Compare(x.Season, y.Season), cmp.Compare(x.StormID, y.StormID),
			cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	return list
}
