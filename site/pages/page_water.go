package pages

import (
	"cmp"
	"slices"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// waterSection shows chloride, chloride kept off and oxygen demand by watershed and season, with the published criteria beside them.
func waterSection(b *book.Book) table.Section {
	type row struct {
		rows.WatershedSeason
		road rows.Tally
	}
	var list []row
	for _, w := range book.Sorted(b.Data.WatershedSeasons, func(x, y rows.WatershedSeason) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.Watershed, y.Watershed))
	}) {
		list = append(list, row{w, b.Tallies[rows.TallyKey{Part: rows.PartSeasonWatershed, Season: w.Season, Watershed: w.Watershed}]})
	}
	seasonOf := func(r row) string { return r.Season }
	columns := slices.Concat([]table.Column[row]{
		table.SeasonColumn(seasonOf), watershedColumn(func(r row) string { return r.Watershed }),
		table.Numbers(b, "Routes", "lane-miles", format.LaneLength, func(r row) *float64 { return r.LaneMiles }),
		table.Numbers(b, "Chloride", "lb", format.Mass, func(r row) *float64 { return r.ChlorideLb }),
		table.Numbers(b, "Chloride", "lb per lane-mile", format.MassRate, func(r row) *float64 { return r.ChlorideLbPerLaneMi }),
		table.Numbers(b, "Of it outside storms", "lb", format.Mass, func(r row) *float64 { return r.OutsideChlorideLb }),
		table.Numbers(b, "{Acetate}", "lb", format.Mass, func(r row) *float64 { return r.AcetateLb }),
		table.Wholes("Pounds unknown", "passes", func(r row) int64 { return r.Unmeasured }),
	}, table.At(func(r row) rows.Tally { return r.road }, besideColumns(b)[:2]), []table.Column[row]{
		table.Numbers(b, "Chloride kept off", "lb, estimate", format.Mass, func(r row) *float64 { return r.KeptOffLb }),
		table.Shares(b, "Kept off", "% of what would have been", func(r row) *float64 { return r.KeptOffShare }),
		table.Wholes("Compared", "route-storms", func(r row) int64 { return r.KeptOffRouteStorms }),
		table.Wholes("Of", "{acetate} route-storms", func(r row) int64 { return r.AcetateRouteStorms }),
		table.Prose("Basis of the estimate", func(r row) string { return cmp.Or(b.UnitWords(r.KeptOffBasis), format.Missing) }),
		table.Numbers(b, "Oxygen demand", "lb, a load", format.Mass, func(r row) *float64 { return r.OxygenDemandLb })})
	shown := table.Filled(b, table.Table{ID: "watersheds-table",
		Caption:  "What each watershed's routes got, by season, the latest first",
		Download: "watershed_seasons.csv", Empty: "No route names a watershed, and none was treated."}, columns, list,
		table.PartedBy(seasonOf))
	return table.Section{ID: "water", Title: "Water: chloride by watershed", Text: b.EachWords(words.WaterCautions),
		Tables: []table.Table{shown, criteriaTable(b)}}
}

func watershedColumn[T any](get func(T) string) table.Column[T] {
	return table.Words("Watershed", func(row T) string { return cmp.Or(get(row), "none named") }).Picked()
}

func criteriaTable(b *book.Book) table.Table {
	return table.Filled(b, table.Table{ID: "criteria-table", Caption: "Published chloride criteria, for context only",
		Note: "Concentrations in water, milligrams in a litre. Nothing on this page says whether one is met."},
		[]table.Column[words.WaterCriterion]{
			table.Prose("Criterion", func(c words.WaterCriterion) string { return format.Capital(c.Name) }),
			table.Numbers(b, "Chloride", "mg/L", table.Ones, func(c words.WaterCriterion) *float64 { return &c.MgPerL }),
			table.Words("Averaged", func(c words.WaterCriterion) string { return c.Averaged }),
			table.Prose("Source", func(c words.WaterCriterion) string { return c.Source }),
		}, words.WaterCriteria)
}

// stormWaterSection shows chloride by watershed and storm, the latest storm first.
func stormWaterSection(b *book.Book, season string) table.Section {
	list := slices.DeleteFunc(slices.Clone(b.Data.WatershedStorms), func(w rows.WatershedStorm) bool { return w.Season != season })
	slices.SortFunc(list, func(x, y rows.WatershedStorm) int {
		return cmp.Or(b.CompareStorms(y.StormID, x.StormID),
			cmp.Compare(x.Watershed, y.Watershed))
	})
	type row struct {
		rows.WatershedStorm
		road rows.Tally
	}
	var records []row
	for _, w := range list {
		road := rows.TallyKey{Part: rows.PartStormWatershed, Season: w.Season, StormID: w.StormID, Watershed: w.Watershed}
		records = append(records, row{w, b.Tallies[road]})
	}
	stormOf := func(r row) string { return r.StormID }
	columns := slices.Concat([]table.Column[row]{
		table.StormOrOutside(b, stormOf), watershedColumn(func(r row) string { return r.Watershed }),
		table.Wholes("Routes", "treated", func(r row) int64 { return r.Routes }),
		table.Numbers(b, "Chloride", "lb", format.Mass, func(r row) *float64 { return r.ChlorideLb }),
		table.Numbers(b, "{Acetate}", "lb", format.Mass, func(r row) *float64 { return r.AcetateLb }),
		table.Wholes("Pounds unknown", "passes", func(r row) int64 { return r.Unmeasured }),
	}, table.At(func(r row) rows.Tally { return r.road }, besideColumns(b)[:2]), []table.Column[row]{
		table.Numbers(b, "Chloride kept off", "lb, estimate", format.Mass, func(r row) *float64 { return r.KeptOffLb }),
		table.Prose("Basis of the estimate", func(r row) string { return cmp.Or(b.UnitWords(r.KeptOffBasis), format.Missing) }),
		table.Numbers(b, "Oxygen demand", "lb, a load", format.Mass, func(r row) *float64 { return r.OxygenDemandLb })})
	shown := table.Filled(b, table.Table{ID: "watershed-storms-table",
		Caption:  "Each storm of " + season + " by watershed, the latest first",
		Download: "watershed_storms.csv", Empty: "No storm has pounds by watershed yet."}, columns, records, table.PartedBy(stormOf))
	return table.Section{ID: "storm-water", Title: "Water: storm by storm", Tables: []table.Table{shown}}
}

// routeStormsOf counts the route-storms of a list, which has a row for each class.
func routeStormsOf(list []rows.TimingTalk) int {
	seen := map[[2]string]bool{}
	for _, t := range list {
		seen[[2]string{t.StormID, t.RouteID}] = true
	}
	return len(seen)
}

// talkSection is the list for the next tailgate talk: kind by kind, routes and storms, never a crew.
func talkSection(b *book.Book, season string) table.Section {
	byKind := book.Grouped(slices.DeleteFunc(slices.Clone(b.Data.TimingTalk), func(t rows.TimingTalk) bool { return t.Season != season }),
		func(t rows.TimingTalk) string { return t.Kind })
	var counts []string
	var reasons []string
	var records []rows.TimingTalk
	for _, kind := range []string{"cold", "wind", "early", "late"} {
		list := book.Sorted(byKind[kind], func(x, y rows.TimingTalk) int {
			return cmp.Or(b.CompareStorms(y.StormID, x.StormID),
				cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
		if len(list) > 0 {
			counts = append(counts, format.Whole(routeStormsOf(list))+" "+words.Say(b.Units, "talk kind", kind))
			reasons = append(reasons, words.Say(b.Units, "talk reason", kind, list[0].Reason))
		}
		records = append(records, list[:min(len(list), words.MostTalk)]...)
	}
	return table.Section{ID: "talk", Title: "Cold, wind and timing", List: reasons,
		Text:   []string{words.Say(b.Units, "talk", season, counts, words.MostTalk), words.Say(b.Units, "talk caution")},
		Tables: []table.Table{talkTable(b, season, records)}}
}

func talkTable(b *book.Book, season string, list []rows.TimingTalk) table.Table {
	kindOf := func(t rows.TimingTalk) string { return t.Kind }
	road := func(t rows.TimingTalk) rows.StormRoute { return b.SolidsOf(t.StormID, t.RouteID, t.MaterialClass) }
	storm := func(t rows.TimingTalk) rows.Storm { return b.StormIn(t.StormID, b.Routes[t.RouteID].ZoneID) }
	columns := slices.Concat([]table.Column[rows.TimingTalk]{
		table.Words("What", func(t rows.TimingTalk) string { return format.Capital(words.Say(b.Units, "talk kind", t.Kind)) }),
		table.StormColumn(b, "", func(t rows.TimingTalk) string { return t.StormID }),
		table.RouteColumn(b, "", func(t rows.TimingTalk) string { return t.RouteID }).AsProse(),
		table.ClassColumn("", func(t rows.TimingTalk) string { return t.MaterialClass }),
		table.Shares(b, "Of the class's pounds", "%", func(t rows.TimingTalk) *float64 { return t.Share }),
		table.Numbers(b, "Amount", "lb", format.Mass, func(t rows.TimingTalk) *float64 { return t.AmountLb }),
		table.Numbers(b, "Snow before", "h", table.Tenths, func(t rows.TimingTalk) *float64 { return t.SnowBeforeH }),
	}, table.At(road, []table.Column[rows.StormRoute]{bareAfter(b)}), table.At(storm, airColumns(b)))
	return table.Filled(b, table.Table{ID: "talk-table", Caption: "For the next tailgate talk, " + season + ", the latest storms first",
		Download: "timing.csv", Empty: "Nothing of cold, wind or timing to talk about."}, columns, list, table.PartedBy(kindOf))
}
