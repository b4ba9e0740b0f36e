package site

import (
	"cmp"
	"strconv"
	"strings"
	"time"
)

// changesSection says which past figures moved since the last release, from what to what, and what moved them.
func (b *book) changesSection(root string) Section {
	list := sorted(b.data.Changes, func(x, y Change) int {
		return cmp.Or(cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.ZoneID, y.ZoneID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(x.Form, y.Form), cmp.Compare(x.Column, y.Column))
	})
	counted := changeCounts{moved: map[string]bool{}, appeared: map[string]bool{}, vanished: map[string]bool{}}
	for _, c := range list {
		counted.count(c)
	}
	var rows []movedFigure
	for _, c := range list[:min(len(list), mostRows)] {
		rows = append(rows, b.moved(c))
	}
	// Without a row the section's sentence says it.
	table := filled(b, Table{ID: "changes-table", Caption: "Figures of past storms that moved since the last release"},
		[]Column[movedFigure]{
			stormColumn(b, root, func(m movedFigure) string { return m.StormID }),
			words("Where", func(m movedFigure) string { return cmp.Or(m.RouteID, m.ZoneID) }),
			words("Material", func(m movedFigure) string {
				return cmp.Or(strings.TrimSpace(m.MaterialClass+" "+m.Form), missing)
			}).picked(),
			words("Figure", func(m movedFigure) string { return m.label }),
			cells("Before", func(m movedFigure) Cell { return m.was }).asNumber(""),
			cells("After", func(m movedFigure) Cell { return m.now }).asNumber(""),
			prose("Moved by", func(m movedFigure) string { return m.Cause }),
		}, rows)
	return Section{ID: "changes", Title: "Since last night", Text: []string{changesSentence(counted)}, Tables: []Table{table}}
}

// changeCounts is what changesSentence says: how many figures moved and of which storms, and which storms appeared or vanished in some zone.
type changeCounts struct {
	figures                   int
	moved, appeared, vanished map[string]bool
}

func (m *changeCounts) count(c Change) {
	switch {
	case c.Column == "storm" && c.Before == nil:
		m.appeared[c.StormID] = true
	case c.Column == "storm":
		m.vanished[c.StormID] = true
	default:
		m.figures++
		m.moved[c.StormID] = true
	}
}

// movedLabels names figures that their column would not name well.
var movedLabels = map[string]string{"regain_h": "hours to bare lane", "cost_usd": "cost, US dollars", "regain_state": "lanes after it"}

// moved names what moved and writes it before and after: a number in the shown unit, an instant by the district's clock, a word as it is.
// Only numbers have a key, for a column of numbers puts all else last.
func (b *book) moved(c Change) movedFigure {
	before, isNumber := numberOf(c.Before)
	after, alsoNumber := numberOf(c.After)
	m := movedFigure{Change: c, was: Cell{Text: b.movedText(c.Before)}, now: Cell{Text: b.movedText(c.After)}}
	switch {
	case c.Column == "storm" && c.Before == nil:
		m.label = "storm appeared"
	case c.Column == "storm":
		m.label = "storm vanished"
	case isNumber && alsoNumber:
		m.label, m.was, m.now = b.column(c.Column, before, after)
		m.label = cmp.Or(movedLabels[c.Column], m.label)
	default:
		m.label, _, _ = b.column(strings.TrimSuffix(c.Column, "_at"), nil, nil)
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
func (b *book) movedText(text *string) string {
	if text == nil {
		return missing
	}
	if at, err := time.Parse("2006-01-02 15:04:05-07", *text); err == nil {
		return b.clock.moment(at)
	}
	return *text
}

// acceptedSection lists what a person let pass; found is false when there is nothing.
func (b *book) acceptedSection() (s Section, found bool) {
	table := filled(b, Table{ID: "accepted-table", Caption: "Doubts about a release that a person let pass"}, []Column[Acceptance]{
		moments(b, "When", func(a Acceptance) *time.Time { return &a.AcceptedAt }),
		prose("What was found", func(a Acceptance) string { return b.written(a.Found) }),
		prose("Why it was let pass", func(a Acceptance) string { return a.Reason }),
	}, sorted(b.data.Accepted, func(x, y Acceptance) int {
		return cmp.Or(y.AcceptedAt.Compare(x.AcceptedAt), cmp.Compare(x.Found, y.Found))
	}))
	return Section{ID: "accepted", Title: "Accepted doubts", Tables: []Table{table}}, len(table.Rows) > 0
}

// movedFigure is a change with its figure named and written.
type movedFigure struct {
	Change
	label    string
	was, now Cell
}
