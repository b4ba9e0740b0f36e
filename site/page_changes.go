package site

import (
	"cmp"
	"strings"
	"time"
)

// Change is a row of since_last_night: a past figure that moved between the last release and this one. Cause names the deliveries or reference
// tables behind it.
type Change struct {
	Export        string   `db:"export"`
	StormID       string   `db:"storm_id"`
	ZoneID        string   `db:"zone_id"`
	RouteID       string   `db:"route_id"`
	MaterialClass string   `db:"material_class"`
	Form          string   `db:"form"`
	Column        string   `db:"column"`
	Before        *float64 `db:"before"`
	After         *float64 `db:"after"`
	Cause         string   `db:"cause"`
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
	storms := map[string]bool{}
	table := Table{ID: "changes-table", Caption: "Figures of past storms that moved since the last release", Empty: "No past figure moved.",
		Columns: []Column{words("Storm"), words("Where"), words("Material"), words("Figure"), figures("Before", ""), figures("After", ""), prose("Moved by")}}
	for i, c := range list {
		storms[c.StormID] = true
		if i < mostRows {
			where := cmp.Or(c.RouteID, c.ZoneID)
			figure, before, after := b.column(c.Column, c.Before, c.After)
			table.Rows = append(table.Rows, Row{Cells: append([]Cell{link(c.StormID, b.stormHref(root, c.StormID))},
				cells(where, cmp.Or(strings.TrimSpace(c.MaterialClass+" "+c.Form), missing), figure, before, after, c.Cause)...)})
		}
	}
	return Section{ID: "changes", Title: "Since last night", Text: []string{changesSentence(len(list), len(storms))}, Tables: []Table{table}}
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
