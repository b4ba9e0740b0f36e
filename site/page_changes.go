package site

import (
	"cmp"
	"strconv"
	"strings"
	"time"
)

// Change is a row of since_last_night: a past figure that moved between the last release and this one, as text. Column storm stands for a storm
// that appeared or vanished, with its begin for a figure. Cause names the deliveries or reference tables behind it.
type Change struct {
	Export        string  `db:"export"`
	StormID       string  `db:"storm_id"`
	ZoneID        string  `db:"zone_id"`
	RouteID       string  `db:"route_id"`
	MaterialClass string  `db:"material_class"`
	Form          string  `db:"form"`
	Column        string  `db:"column"`
	Before        *string `db:"before"`
	After         *string `db:"after"`
	Cause         string  `db:"cause"`
}

// Acceptance is a row of accepted_gates: a doubt that held a release up, and the reason for which a person let it pass.
type Acceptance struct {
	AcceptedAt time.Time `db:"accepted_at"`
	Found      string    `db:"found"`
	Reason     string    `db:"reason"`
}

// changesSection says which past figures moved since the last release, from what to what, and what moved them.
func (b *book) changesSection(root string) Section {
	list := sorted(b.data.Changes, func(x, y Change) int {
		return cmp.Or(cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.ZoneID, y.ZoneID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(x.Form, y.Form), cmp.Compare(x.Column, y.Column))
	})
	moved := changeCounts{moved: map[string]bool{}, appeared: map[string]bool{}, vanished: map[string]bool{}}
	table := Table{ID: "changes-table", Caption: "Figures of past storms that moved since the last release", // without a row the section's sentence says it
		Columns: []Column{words("Storm"), words("Where"), words("Material"), words("Figure"), figures("Before", ""), figures("After", ""), prose("Moved by")}}
	for i, c := range list {
		moved.count(c)
		if i < mostRows {
			where := cmp.Or(c.RouteID, c.ZoneID)
			figure, before, after := b.moved(c)
			table.Rows = append(table.Rows, Row{Cells: append([]Cell{link(c.StormID, b.stormHref(root, c.StormID))},
				cells(where, cmp.Or(strings.TrimSpace(c.MaterialClass+" "+c.Form), missing), figure, before, after, c.Cause)...)})
		}
	}
	return Section{ID: "changes", Title: "Since last night", Text: []string{changesSentence(moved)}, Tables: []Table{table}}
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
func (b *book) moved(c Change) (label, was, now string) {
	before, isNumber := numberOf(c.Before)
	after, alsoNumber := numberOf(c.After)
	switch {
	case c.Column == "storm" && c.Before == nil:
		label = "storm appeared"
	case c.Column == "storm":
		label = "storm vanished"
	case isNumber && alsoNumber:
		label, was, now = b.column(c.Column, before, after)
		return cmp.Or(movedLabels[c.Column], label), was, now
	default:
		label, _, _ = b.column(strings.TrimSuffix(c.Column, "_at"), nil, nil)
		label = cmp.Or(movedLabels[c.Column], label)
	}
	return label, b.movedText(c.Before), b.movedText(c.After)
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
	table := Table{ID: "accepted-table", Caption: "Doubts about a release that a person let pass",
		Columns: []Column{words("When"), prose("What was found"), prose("Why it was let pass")}}
	for _, a := range sorted(b.data.Accepted, func(x, y Acceptance) int {
		return cmp.Or(y.AcceptedAt.Compare(x.AcceptedAt), cmp.Compare(x.Found, y.Found))
	}) {
		table.Rows = append(table.Rows, Row{Cells: cells(b.clock.moment(a.AcceptedAt), b.written(a.Found), a.Reason)})
	}
	return Section{ID: "accepted", Title: "Accepted doubts", Tables: []Table{table}}, len(table.Rows) > 0
}
