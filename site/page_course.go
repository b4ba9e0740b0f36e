package site

import (
	"cmp"
	"slices"
)

// claimsSection says in five lines what the season should show and what it does, roads first.
func (b *book) claimsSection(season, root string, list []claim) Section {
	table := Table{ID: "claims", Caption: "Five claims, roads first", Columns: []Column{prose("Claim"), words("State"), prose("What the numbers say")},
		Note: "On course: no claim contradicted, and roads shown to be no worse. Roads, applications and pounds are of this season's storms; start and rates, and whether service held, of all seasons together."}
	for _, c := range list {
		table.Rows = append(table.Rows, Row{Cells: []Cell{{Text: c.Name}, {Text: c.State}, {Text: capital(c.Words) + "."}}})
	}
	links := []Cell{link("Learning", root+"learning.html"), link("Comparison", root+"comparison.html")}
	return Section{ID: "course-lines", Title: "Are we on course?", Tables: []Table{table}, Links: links, Text: b.courseCaveats(season)}
}

// courseCaveats are the caveats that travel with the verdicts.
func (b *book) courseCaveats(season string) []string {
	l := b.learningOf(allCrews)
	if l == nil {
		return nil
	}
	_, caveats := partVerdict(l.Verdict)
	caveats = slices.DeleteFunc(caveats, func(c string) bool { return c == "so far" }) // that is of the latest season
	if b.isSeasonOpen(season) {
		caveats = append([]string{"so far"}, caveats...)
	}
	if len(caveats) == 0 {
		return nil
	}
	return []string{reserveSentence(caveats)}
}

// reasonsOf are the rows of storm_reasons by storm, route and class.
func (b *book) reasonsOf(keep func(StormReason) bool) []StormReason {
	var list []StormReason
	for _, r := range b.data.StormReasons {
		if keep(r) {
			list = append(list, r)
		}
	}
	slices.SortFunc(list, func(x, y StormReason) int {
		return cmp.Or(b.began(x.StormID).Compare(b.began(y.StormID)), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	return list
}

func reasonColumns(head Column) []Column {
	return []Column{head, words("Material"), figures("Per storm", "lb per lane-mile of route"), prose("Against the route's other storms of the season"), figures("Bare lane after", "h"), figures("Mean air", "°F"),
		figures("Lowest pavement", "°F"), figures("Water", "in"), figures("Freezing rain", "h")}
}

func (b *book) reasonCells(r StormReason) []Cell {
	storm, _ := b.zoneRow(r.StormID, b.routes[r.RouteID].ZoneID)
	row := b.stormRoute(CrewStorm{StormID: r.StormID, RouteID: r.RouteID, MaterialClass: r.MaterialClass, Form: solid})
	return append([]Cell{materialCell(r.MaterialClass, solid)}, cells(b.rate(r.StormLb), capital(reasonSentence(b.units, r))+".", regain(row), b.degrees(storm.AirFMean), b.degrees(storm.SurfaceFMin), b.inches(storm.PrecipIn), hours(storm.FreezingH))...)
}

// stormReasonsSection says on a storm's page which routes got more or less than usual, and by what.
func (b *book) stormReasonsSection(stormID string) Section {
	table := Table{ID: "reasons-table", Caption: "Routes outside the middle half of their own storms", Columns: reasonColumns(words("Route"))}
	for _, r := range b.reasonsOf(func(r StormReason) bool { return r.StormID == stormID }) {
		table.Rows = append(table.Rows, Row{Cells: append([]Cell{link(b.routeShort(r.RouteID), b.routeHref("../", r.RouteID))}, b.reasonCells(r)...)})
	}
	return Section{ID: "reasons", Title: "Why more, why less", Text: []string{reasonsHead(b.units, len(table.Rows), "route", "routes")}, Tables: []Table{table}}
}

// routeReasonsSection says on a route's page in which storms it got more or less than usual, and by what.
func (b *book) routeReasonsSection(routeID string) Section {
	table := Table{ID: "reasons-table", Caption: "Storms outside the middle half of the route's storms of the season, the latest first", Columns: reasonColumns(words("Storm"))}
	for _, r := range slices.Backward(b.reasonsOf(func(r StormReason) bool { return r.RouteID == routeID })) {
		table.Rows = append(table.Rows, Row{Cells: append([]Cell{link(r.StormID, b.stormHref("../", r.StormID))}, b.reasonCells(r)...)})
	}
	return Section{ID: "reasons", Title: "Why more, why less", Text: []string{reasonsHead(b.units, len(table.Rows), "storm", "storms")}, Tables: []Table{table}}
}
