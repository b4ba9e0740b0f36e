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
	shown := table.Filled(b, table.Place{ID: "watersheds-table"}, b.Data.WatershedSeasons, table.Own[rows.WatershedSeason]{
		"watershed_name": func(w rows.WatershedSeason) any { return watershedName(w.Watershed) },
		"basis":          func(w rows.WatershedSeason) any { return b.UnitWords(w.KeptOffBasis) },
		"road": func(w rows.WatershedSeason) any {
			return b.Tallies[rows.TallyKey{Part: rows.PartSeasonWatershed, Season: w.Season, Watershed: w.Watershed}]
		}})
	return table.Section{ID: "water", Title: "Water: chloride by watershed", Text: b.EachWords(words.WaterCautions),
		Tables: []table.Table{shown, criteriaTable(b)}}
}

func criteriaTable(b *book.Book) table.Table {
	return table.Filled(b, table.Place{ID: "criteria-table"}, words.WaterCriteria, table.Own[words.WaterCriterion]{
		"criterion": func(c words.WaterCriterion) any { return format.Capital(c.Name) }})
}

// stormWaterSection shows chloride by watershed and storm, the latest storm first.
func stormWaterSection(b *book.Book, season string) table.Section {
	list := book.Sorted(book.Where(b.Data.WatershedStorms, func(w rows.WatershedStorm) bool { return w.Season == season }),
		func(x, y rows.WatershedStorm) int {
			return cmp.Or(b.CompareStorms(y.StormID, x.StormID), cmp.Compare(x.Watershed, y.Watershed))
		})
	shown := table.Filled(b, table.Place{ID: "watershed-storms-table", Names: []any{season}}, list, table.Own[rows.WatershedStorm]{
		"watershed_name": func(w rows.WatershedStorm) any { return watershedName(w.Watershed) },
		"basis":          func(w rows.WatershedStorm) any { return b.UnitWords(w.KeptOffBasis) },
		"road": func(w rows.WatershedStorm) any {
			return b.Tallies[rows.TallyKey{Part: rows.PartStormWatershed, Season: w.Season, StormID: w.StormID, Watershed: w.Watershed}]
		}})
	return table.Section{ID: "storm-water", Title: "Water: storm by storm", Tables: []table.Table{shown}}
}

// routeStormsOf counts the route-storms of a list, which has a row for each class.
func routeStormsOf(list []rows.TimingTalk) int {
	return len(book.Grouped(list, func(t rows.TimingTalk) [2]string { return [2]string{t.StormID, t.RouteID} }))
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
	return table.Filled(b, table.Place{ID: "talk-table", Names: []any{season}}, list, table.Own[rows.TimingTalk]{
		"what":  func(t rows.TimingTalk) any { return format.Capital(words.Say(b.Units, "talk kind", t.Kind)) },
		"road":  func(t rows.TimingTalk) any { return b.SolidsOf(t.StormID, t.RouteID, t.MaterialClass) },
		"storm": func(t rows.TimingTalk) any { return b.StormIn(t.StormID, b.Routes[t.RouteID].ZoneID) }})
}

func watershedName(watershed string) string { return cmp.Or(watershed, "none named") }
