package site

import (
	"cmp"
	"slices"
)

// claimsSection says in five lines what the season should show and what it does, roads first.
func (b *book) claimsSection(season, root string, list []claim) Section {
	table := filled(b, Table{ID: "claims", Caption: "Five claims, roads first",
		Note: "On course: no claim contradicted, and roads shown to be no worse. " +
			"Roads, applications and pounds are of this season's storms; " +
			"start and rates, and whether service held, of all seasons together."},
		[]Column[claim]{
			prose("Claim", func(c claim) string { return c.Name }), words("State", func(c claim) string { return c.State }),
			prose("What the numbers say", func(c claim) string { return capital(c.Words) + "." })}, list)
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

// reasonColumns are a route's pounds in a storm and why, with the road and the weather beside them; head names the route or the storm.
func (b *book) reasonColumns(head Column[StormReason]) []Column[StormReason] {
	storm := func(r StormReason) Storm { return b.stormIn(r.StormID, b.routes[r.RouteID].ZoneID) }
	row := func(r StormReason) StormRoute { return b.solidsOf(r.StormID, r.RouteID, r.MaterialClass) }
	return slices.Concat([]Column[StormReason]{head,
		materialColumn(func(r StormReason) (class, form string) { return r.MaterialClass, solid }),
		numbers(b, "Per storm", "lb per lane-mile of route", massRate, func(r StormReason) *float64 { return r.StormLb }),
		prose("Against the route's other storms of the season",
			func(r StormReason) string { return capital(reasonSentence(b.units, r)) + "." })},
		at(row, []Column[StormRoute]{b.bareAfter()}), at(storm, append(b.airColumns(), b.waterColumn(), b.freezingRain())))
}

// stormReasonsSection says on a storm's page which routes got more or less than usual, and by what.
func (b *book) stormReasonsSection(stormID string) Section {
	table := filled(b, Table{ID: "reasons-table", Caption: "Routes outside the middle half of their own storms"},
		b.reasonColumns(routeColumn(b, "../", func(r StormReason) string { return r.RouteID })),
		b.reasonsOf(func(r StormReason) bool { return r.StormID == stormID }))
	return Section{ID: "reasons", Title: "Why more, why less", Text: []string{reasonsHead(b.units, len(table.Rows), "route", "routes")}, Tables: []Table{table}}
}

// routeReasonsSection says on a route's page in which storms it got more or less than usual, and by what.
func (b *book) routeReasonsSection(routeID string) Section {
	table := filled(b, Table{ID: "reasons-table",
		Caption: "Storms outside the middle half of the route's storms of the season, the latest first"},
		b.reasonColumns(stormColumn(b, "../", func(r StormReason) string { return r.StormID })),
		latestFirst(b.reasonsOf(func(r StormReason) bool { return r.RouteID == routeID })))
	return Section{ID: "reasons", Title: "Why more, why less", Text: []string{reasonsHead(b.units, len(table.Rows), "storm", "storms")}, Tables: []Table{table}}
}
