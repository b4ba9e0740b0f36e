package site

import (
	"cmp"
	"slices"
)

// mostTalk is how many lines of each kind the list for the next talk holds.
const mostTalk = 8

// waterSection shows chloride, chloride kept off and oxygen demand by watershed and season, with the published criteria beside them.
func (b *book) waterSection() Section {
	type row struct {
		WatershedSeason
		road Tally
	}
	var rows []row
	for _, w := range sorted(b.data.WatershedSeasons, func(x, y WatershedSeason) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.Watershed, y.Watershed))
	}) {
		rows = append(rows, row{w, b.tallies[tallyKey{part: partSeasonWatershed, season: w.Season, watershed: w.Watershed}]})
	}
	seasonOf := func(r row) string { return r.Season }
	columns := slices.Concat([]Column[row]{
		seasonColumn(seasonOf), watershedColumn(func(r row) string { return r.Watershed }),
		numbers(b, "Routes", "lane-miles", laneLength, func(r row) *float64 { return r.LaneMiles }),
		numbers(b, "Chloride", "lb", mass, func(r row) *float64 { return r.ChlorideLb }),
		numbers(b, "Chloride", "lb per lane-mile", massRate, func(r row) *float64 { return r.ChlorideLbPerLaneMi }),
		numbers(b, "Of it outside storms", "lb", mass, func(r row) *float64 { return r.OutsideChlorideLb }),
		numbers(b, "{Acetate}", "lb", mass, func(r row) *float64 { return r.AcetateLb }),
	}, at(func(r row) Tally { return r.road }, b.besideColumns()[:2]), []Column[row]{
		numbers(b, "Chloride kept off", "lb, estimate", mass, func(r row) *float64 { return r.KeptOffLb }),
		shares(b, "Kept off", "% of what would have been", func(r row) *float64 { return r.KeptOffShare }),
		wholes("Compared", "route-storms", func(r row) int64 { return r.KeptOffRouteStorms }),
		wholes("Of", "{acetate} route-storms", func(r row) int64 { return r.AcetateRouteStorms }),
		prose("Basis of the estimate", func(r row) string { return cmp.Or(b.unitWords(r.KeptOffBasis), missing) }),
		numbers(b, "Oxygen demand", "lb, a load", mass, func(r row) *float64 { return r.OxygenDemandLb })})
	table := filled(b, Table{ID: "watersheds-table", Caption: "What each watershed's routes got, by season, the latest first",
		Download: "watershed_seasons.csv", Empty: "No route names a watershed, and none was treated."}, columns, rows, partedBy(seasonOf))
	return Section{ID: "water", Title: "Water: chloride by watershed", Text: b.eachWords(WaterCautions),
		Tables: []Table{table, b.criteriaTable()}}
}

func watershedColumn[T any](get func(T) string) Column[T] {
	return words("Watershed", func(row T) string { return cmp.Or(get(row), "none named") }).picked()
}

func (b *book) criteriaTable() Table {
	return filled(b, Table{ID: "criteria-table", Caption: "Published chloride criteria, for context only",
		Note: "Concentrations in water, milligrams in a litre. Nothing on this page says whether one is met."}, []Column[WaterCriterion]{
		prose("Criterion", func(c WaterCriterion) string { return capital(c.Name) }),
		numbers(b, "Chloride", "mg/L", ones, func(c WaterCriterion) *float64 { return &c.MgPerL }),
		words("Averaged", func(c WaterCriterion) string { return c.Averaged }),
		prose("Source", func(c WaterCriterion) string { return c.Source }),
	}, WaterCriteria)
}

// stormWaterSection shows chloride by watershed and storm, the latest storm first.
func (b *book) stormWaterSection(season string) Section {
	list := slices.DeleteFunc(slices.Clone(b.data.WatershedStorms), func(w WatershedStorm) bool { return w.Season != season })
	slices.SortFunc(list, func(x, y WatershedStorm) int {
		return cmp.Or(b.began(y.StormID).Compare(b.began(x.StormID)), cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.Watershed, y.Watershed))
	})
	type row struct {
		WatershedStorm
		road Tally
	}
	var rows []row
	for _, w := range list {
		road := tallyKey{part: partStormWatershed, season: w.Season, stormID: w.StormID, watershed: w.Watershed}
		rows = append(rows, row{w, b.tallies[road]})
	}
	stormOf := func(r row) string { return r.StormID }
	columns := slices.Concat([]Column[row]{
		stormOrOutside(b, stormOf), watershedColumn(func(r row) string { return r.Watershed }),
		wholes("Routes", "treated", func(r row) int64 { return r.Routes }),
		numbers(b, "Chloride", "lb", mass, func(r row) *float64 { return r.ChlorideLb }),
		numbers(b, "{Acetate}", "lb", mass, func(r row) *float64 { return r.AcetateLb }),
	}, at(func(r row) Tally { return r.road }, b.besideColumns()[:2]), []Column[row]{
		numbers(b, "Chloride kept off", "lb, estimate", mass, func(r row) *float64 { return r.KeptOffLb }),
		prose("Basis of the estimate", func(r row) string { return cmp.Or(b.unitWords(r.KeptOffBasis), missing) }),
		numbers(b, "Oxygen demand", "lb, a load", mass, func(r row) *float64 { return r.OxygenDemandLb })})
	table := filled(b, Table{ID: "watershed-storms-table", Caption: "Each storm of " + season + " by watershed, the latest first",
		Download: "watershed_storms.csv", Empty: "No storm has pounds by watershed yet."}, columns, rows, partedBy(stormOf))
	return Section{ID: "storm-water", Title: "Water: storm by storm", Tables: []Table{table}}
}

// routeStormsOf counts the route-storms of a list, which has a row for each class.
func routeStormsOf(list []TimingTalk) int {
	seen := map[[2]string]bool{}
	for _, t := range list {
		seen[[2]string{t.StormID, t.RouteID}] = true
	}
	return len(seen)
}

// talkSection is the list for the next tailgate talk: kind by kind, routes and storms, never a crew.
func (b *book) talkSection(season string) Section {
	byKind := grouped(slices.DeleteFunc(slices.Clone(b.data.TimingTalk), func(t TimingTalk) bool { return t.Season != season }), func(t TimingTalk) string { return t.Kind })
	var counts []talkCount
	var reasons []string
	var rows []TimingTalk
	for _, kind := range []string{"cold", "wind", "early", "late"} {
		list := sorted(byKind[kind], func(x, y TimingTalk) int {
			return cmp.Or(b.began(y.StormID).Compare(b.began(x.StormID)), cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
		counts = append(counts, talkCount{kind, routeStormsOf(list)})
		if len(list) > 0 {
			reasons = append(reasons, talkReason(kind, list[0].Reason))
		}
		rows = append(rows, list[:min(len(list), mostTalk)]...)
	}
	return Section{ID: "talk", Title: "Cold, wind and timing", Text: []string{talkSentence(season, counts), talkCaution}, List: reasons,
		Tables: []Table{b.talkTable(season, rows)}}
}

func (b *book) talkTable(season string, rows []TimingTalk) Table {
	kindOf := func(t TimingTalk) string { return t.Kind }
	road := func(t TimingTalk) StormRoute { return b.solidsOf(t.StormID, t.RouteID, t.MaterialClass) }
	storm := func(t TimingTalk) Storm { return b.stormIn(t.StormID, b.routes[t.RouteID].ZoneID) }
	columns := slices.Concat([]Column[TimingTalk]{
		words("What", func(t TimingTalk) string { return capital(talkWords[t.Kind]) }),
		stormColumn(b, "", func(t TimingTalk) string { return t.StormID }),
		routeColumn(b, "", func(t TimingTalk) string { return t.RouteID }).asProse(),
		classColumn("", func(t TimingTalk) string { return t.MaterialClass }),
		shares(b, "Of the class's pounds", "%", func(t TimingTalk) *float64 { return t.Share }),
		numbers(b, "Amount", "lb", mass, func(t TimingTalk) *float64 { return t.AmountLb }),
		numbers(b, "Snow before", "h", tenths, func(t TimingTalk) *float64 { return t.SnowBeforeH }),
	}, at(road, []Column[StormRoute]{b.bareAfter()}), at(storm, b.airColumns()))
	return filled(b, Table{ID: "talk-table", Caption: "For the next tailgate talk, " + season + ", the latest storms first",
		Download: "timing.csv", Empty: "Nothing of cold, wind or timing to talk about."}, columns, rows, partedBy(kindOf))
}
