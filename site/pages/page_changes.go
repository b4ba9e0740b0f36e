package pages

import (
	"cmp"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// changesSection says which past figures moved since the last release, from what to what, and what moved them.
func changesSection(b *book.Book, root string) table.Section {
	list := book.Sorted(b.Data.Changes, func(x, y rows.Change) int {
		return cmp.Or(cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.ZoneID, y.ZoneID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(x.Form, y.Form), cmp.Compare(x.Column, y.Column))
	})
	counted := words.ChangeCounts{Moved: map[string]bool{}, Appeared: map[string]bool{}, Vanished: map[string]bool{}}
	for _, c := range list {
		counted.Count(c)
	}
	var rows []movedFigure
	for _, c := range list[:min(len(list), book.MostRows)] {
		rows = append(rows, moved(b, c))
	}
	// Without a row the section's sentence says it.
	shown := table.Filled(b, table.Place{ID: "changes-table", Root: root}, rows, table.Own[movedFigure]{
		"where":    func(m movedFigure) any { return cmp.Or(m.RouteID, m.ZoneID) },
		"material": func(m movedFigure) any { return cmp.Or(strings.TrimSpace(m.MaterialClass+" "+m.Form), format.Missing) },
		"label":    func(m movedFigure) any { return m.label },
		"was":      func(m movedFigure) any { return m.was },
		"now":      func(m movedFigure) any { return m.now }})
	return table.Section{ID: "changes", Title: "Since last night", Text: []string{words.Say(b.Units, "changes", counted)},
		Tables: []table.Table{shown}}
}

// movedLabels names figures that their column would not name well.
var movedLabels = map[string]string{"regain_h": "hours to bare lane", "cost_usd": "cost, US dollars", "regain_state": "lanes after it"}

// moved names what moved and writes it before and after: a number in the shown unit, an instant by the district's clock, a word as it is.
// Only numbers have a key, for a column of numbers puts all else last.
func moved(b *book.Book, c rows.Change) movedFigure {
	before, isNumber := numberOf(c.Before)
	after, alsoNumber := numberOf(c.After)
	m := movedFigure{Change: c, was: table.Cell{Text: movedText(b, c.Before)}, now: table.Cell{Text: movedText(b, c.After)}}
	switch {
	case c.Column == "storm" && c.Before == nil:
		m.label = "storm appeared"
	case c.Column == "storm":
		m.label = "storm vanished"
	case isNumber && alsoNumber:
		m.label, m.was, m.now = table.ChangedColumn(b.Units, c.Column, before, after)
		m.label = cmp.Or(movedLabels[c.Column], m.label)
	default:
		m.label, _, _ = table.ChangedColumn(b.Units, strings.TrimSuffix(c.Column, "_at"), nil, nil)
		m.label = cmp.Or(movedLabels[c.Column], m.label)
	}
	return m
}

// numberOf reads a figure; a missing one is a missing number.
func numberOf(text *string) (number *float64, isNumber bool) {
	if text == nil {
		return nil, true
	}
	value, err := strconv.ParseFloat(*text, 64)
	return &value, err == nil
}

// movedText writes an instant or a word.
func movedText(b *book.Book, text *string) string {
	if text == nil {
		return format.Missing
	}
	if at, err := time.Parse("2006-01-02 15:04:05-07", *text); err == nil {
		return b.Clock.Moment(at)
	}
	return *text
}

// acceptedSection lists what a person let pass; found is false when there is nothing.
func acceptedSection(b *book.Book) (s table.Section, found bool) {
	shown := table.Filled(b, table.Place{ID: "accepted-table"}, b.Data.Accepted, table.Own[rows.Acceptance]{
		"doubt": func(a rows.Acceptance) any { return a.FoundIn(b.FindingWriter()) }})
	return table.Section{ID: "accepted", Title: "Accepted doubts", Tables: []table.Table{shown}}, len(shown.Rows) > 0
}

// movedFigure is a change with its figure named and written.
type movedFigure struct {
	rows.Change
	label    string
	was, now table.Cell
}
