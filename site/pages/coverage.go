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
	part := func(state string) func(book.Covered) *float64 {
		return func(c book.Covered) *float64 { return new(book.Length(c.In(state)) / c.Length()) }
	}
	posts := func(state string) func(book.Covered) string {
		return func(c book.Covered) string { return book.PostsOf(c.In(state)) }
	}
	return table.Filled(b, table.Table{ID: "route-coverage", Caption: "Where material went down in every storm, the latest first",
		Download: "coverage.parquet", Empty: "No treating pass whose place is known was reported in a storm.",
		Note: "Posts are the reference posts by which passes name their place."}, []table.Column[book.Covered]{
		table.Cells("Storm", func(c book.Covered) table.Cell { return table.StormCell(b, "../", c.StormID, c.IsOpen) }).Safe(),
		table.MaterialColumn(func(c book.Covered) (class, form string) { return c.Class, c.Form }),
		table.Numbers(b, "Least", "applications", table.Hundredths,
			func(c book.Covered) *float64 { least, _ := c.Applications(); return &least }),
		table.Numbers(b, "Most", "applications", table.Hundredths,
			func(c book.Covered) *float64 { _, most := c.Applications(); return &most }),
		table.Shares(b, "Missed", "% of the route", part(rows.MissedState)), table.Prose("At posts", posts(rows.MissedState)),
		table.Shares(b, "Doubled", "% of the route", part(rows.DoubledState)), table.Prose("At posts", posts(rows.DoubledState)),
		table.Moments(b, "Last treated", (book.Covered).LastTreated),
	}, book.LatestFirst(list), table.Marked("open", func(c book.Covered) bool { return c.IsOpen }))
}
