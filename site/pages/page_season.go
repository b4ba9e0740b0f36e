// Package pages composes the pages, section by section, from the book's rows, sentences, tables and pictures.
//
// In: a Book. Out: pages ready to be written, all their texts written out.
package pages

import (
	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// MostFindings is how many lines what needs attention may have.
const MostFindings = 7

// SeasonPage builds the page of one season; root leads from it to the top folder.
func SeasonPage(b *book.Book, season, root string) (table.Page, error) {
	events := b.EventsOf(season)
	ac, cl := b.CountClass(season, b.CompareClass()), b.CountClass(season, b.BesideClass())
	open := openCount(events)
	list := words.Claims(b, season)
	p := table.Page{Title: "Season " + season, Nav: "season", Root: root,
		Lead: words.CourseSentence(b, season, list)}
	if season == b.LatestSeason() {
		if aside, found := asideSection(b, root); found {
			p.Sections = append(p.Sections, aside)
		}
	}
	attention := AttentionSection(b, season, root)
	if ends := words.Say(b.Units, "feed ends", b.Clock, b.Data.FeedEnds); ends != "" && season == b.LatestSeason() {
		attention.Text = append(attention.Text, ends)
	}
	p.Sections = append(p.Sections, claimsSection(b, season, root, list), attention)
	answer := answerSection(b, b.IsSeasonOpen(season), ac, cl)
	answer.Text = append([]string{words.Say(b.Units, "plain averages"),
		words.Say(b.Units, "season", season, len(events)-open, open, ac, cl, b.Through())}, answer.Text...)
	course, err := courseSection(b, season, ac, cl)
	if err != nil {
		return table.Page{}, err
	}
	past := PastSection(b, season, "past-seasons", "")
	past.Links = seasonLinks(b, season, root)
	p.Sections = append(p.Sections, course, answer, past, stripSection(b, events, root),
		table.Section{ID: "every-storm", Title: "Every storm in numbers",
			Tables: []table.Table{seasonTable(b, b.SeasonRows[season], root)}})
	return p, nil
}

func openCount(events []book.Event) int {
	return book.CountOf(events, func(e book.Event) bool { return e.IsOpen })
}

func answerSection(b *book.Book, isOpen bool, ac, cl book.ClassTally) table.Section {
	whole := "season"
	if isOpen {
		whole = "season so far"
	}
	var rows []classPart
	for _, c := range []book.ClassTally{ac, cl} {
		if c.Season.RouteStorms == 0 {
			continue
		}
		rows = append(rows, classPart{c.Class, whole, c.Season})
		if c.First != nil {
			rows = append(rows, classPart{c.Class, "first third", *c.First}, classPart{c.Class, "latest third", *c.Latest})
		}
	}
	text := book.Where([]string{words.Say(b.Units, "thirds", ac), words.Say(b.Units, "thirds", cl), words.Say(b.Units, "use", ac),
		words.Say(b.Units, "use", cl), words.Say(b.Units, "no verdict")}, func(s string) bool { return s != "" })
	return table.Section{ID: "answer-so-far", Title: "The season in plain averages", Text: text,
		Tables: []table.Table{answerTable(b, whole, rows)}}
}

// courseSection shows both classes' rates over the season's storms.
func courseSection(b *book.Book, season string, ac, cl book.ClassTally) (table.Section, error) {
	rows := b.SeasonRows[season]
	c := seasonCourse(b, rows)
	title := words.Say(b.Units, "course title", len(c.Storms), ac, cl)
	s := table.Section{ID: "course", Title: title}
	if len(c.Storms) == 0 {
		return s, nil
	}
	chart, err := draw.CourseChart("season-rates", "season-storms", title,
		words.Say(b.Units, "season course label", title, len(c.Storms)), c)
	s.Chart = &chart
	chart.Notes = words.Notes(seasonOrders(b, rows))
	return s, err
}

// seasonOrders are the orders among a season's storms, of one route or of all.
func seasonOrders(b *book.Book, list []rows.Tally) []book.PlacedOrder {
	return b.PlaceOrders(b.SeasonBegins(list), func(rows.Order) bool { return true })
}

func seasonCourse(b *book.Book, list []rows.Tally) draw.Course {
	c := draw.NewCourse(b.Units)
	for _, row := range list {
		c.Add(row.StormID, b.Clock.DayShort(row.BeganAt), row.IsOpen, row.MaterialClass, row.RateLbPerLaneMi, row.RegainH, row.SurfaceFMin)
	}
	c.Orders = book.Marks(seasonOrders(b, list))
	return c
}

func seasonTable(b *book.Book, list []rows.Tally, root string) table.Table {
	return table.Filled(b, table.Place{ID: "season-storms", Root: root}, list, table.Own[rows.Tally]{
		"began": func(t rows.Tally) any { return began(b, t.BeganAt, t.IsOpen) }})
}

func stripSection(b *book.Book, events []book.Event, root string) table.Section {
	s := table.Section{ID: "storms", Title: "When the storms came", Text: []string{words.Say(b.Units, "strip", events)},
		Minor: b.MinorCount(events), Picture: "strip"}
	if len(events) > 0 {
		s.Figures = []table.Figure{{Drawing: draw.Strip(b, events), Caption: b.UnitWords("S snow, F freezing rain, L sleet, M mixed, V " +
			"varies by zone, U unclassed, D dry. Width: how long; height: inches of water. Open storms are dashed.")}}
		s.Links = []table.Cell{table.Link("All storms as a table", root+"storms.html")}
	}
	return s
}

func answerTable(b *book.Book, whole string, list []classPart) table.Table {
	return table.Filled(b, table.Place{ID: "answer", Names: []any{whole}}, list, table.Own[classPart]{
		"class_and_part": func(p classPart) any {
			return table.Cell{Text: format.Capital(p.class) + ", " + p.part, Class: p.class}
		}})
}

// classPart is what a class came to in a part of a season.
type classPart struct {
	class, part string
	rows.Tally
}
