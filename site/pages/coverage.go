package pages

import (
	"slices"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/table"
	"lanetally/site/words"
)

// coverageSection shows where along the route material went down.
func coverageSection(b *book.Book, route rows.Route) table.Section {
	list := b.Coverage[route.RouteID]
	season := b.LatestSeason()
	s := table.Section{ID: "coverage", Title: "Where it went down", Picture: "coverage-picture",
		Text: []string{words.Say(b.Units, "coverage", season, b.CoverageSums(list, season)),
			words.BridgeSentence(b.Units, b.Bridges[route.RouteID], route.BridgeLaneMiles)},
		Tables: []table.Table{CoverageTable(b, list)}}
	s.Text = slices.DeleteFunc(s.Text, func(text string) bool { return text == "" })
	shown := book.Where(list, func(row book.Covered) bool { return row.Season == season && row.Form == rows.Solid })
	if len(shown) > 0 {
		s.HasMarks = true
		s.Figures = []table.Figure{{Title: "Solids along the route in the " + season + " season, storm by storm",
			Caption: words.Say(b.Units, "coverage key"), Drawing: draw.CoverageFigure(b, shown, b.Bridges[route.RouteID]), IsWide: true}}
	}
	return s
}

// CoverageTable holds the figures of every strip, the latest first.
func CoverageTable(b *book.Book, list []book.Covered) table.Table {
	part := func(state string) func(book.Covered) any {
		return func(c book.Covered) any { return book.Length(c.In(state)) / c.Length() }
	}
	posts := func(state string) func(book.Covered) any {
		return func(c book.Covered) any { return book.PostsOf(c.In(state)) }
	}
	return table.Filled(b, table.Place{ID: "route-coverage"}, book.LatestFirst(list), table.Own[book.Covered]{
		"storm_id": func(c book.Covered) any { return table.StormCell(b, "../", c.StormID, c.IsOpen) },
		"material": func(c book.Covered) any { return table.MaterialCell(c.Class, c.Form) },
		"least":    func(c book.Covered) any { least, _ := c.Applications(); return least },
		"most":     func(c book.Covered) any { _, most := c.Applications(); return most },
		"missed":   part(rows.MissedState), "missed_posts": posts(rows.MissedState),
		"doubled": part(rows.DoubledState), "doubled_posts": posts(rows.DoubledState)})
}
