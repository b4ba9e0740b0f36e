package pages

import (
	"cmp"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// claimsSection says in five lines what the season should show and what it does, roads first, with last season's answers.
func claimsSection(b *book.Book, season, root string, list []words.Claim) table.Section {
	answer := func(c words.Claim) string {
		if b.IsSeasonOpen(season) {
			return c.Answer + ", so far"
		}
		return c.Answer
	}
	shown := table.Filled(b, table.Table{ID: "claims", Caption: "Five claims, roads first", Download: "claims.csv",
		Empty: "Nothing can be claimed before {acetate} has been spread in a closed storm.",
		Note: "On course: no claim answered no, and roads yes. Answers rest on the rows up to the season's end, on the same routes and " +
			"storms, told apart from how routes, storms and crews differ."},
		[]table.Column[words.Claim]{
			table.Prose("Claim", func(c words.Claim) string { return c.Name }),
			table.Words("Answer", answer),
			table.Prose("What the numbers say", func(c words.Claim) string { return format.Capital(c.Words) + "." }),
			table.Words("Season before", func(c words.Claim) string { return c.Last })}, list)
	links := []table.Cell{table.Link("Learning", root+"learning.html"), table.Link("Comparison", root+"comparison.html")}
	text := courseCaveats(b, season)
	if len(list) > 0 && list[0].LeftOut != "" {
		var zones []string
		for _, id := range strings.Split(list[0].LeftOut, "; ") {
			zones = append(zones, b.NamedZone(id))
		}
		text = append(text, words.Say(b.Units, "claims left out", zones))
	}
	return table.Section{ID: "course-lines", Title: "Are we on course?", Tables: []table.Table{shown}, Links: links, Text: text}
}

// courseCaveats are the caveats that travel with the verdicts.
func courseCaveats(b *book.Book, season string) []string {
	l := b.LearningOf(rows.AllCrews)
	if l == nil {
		return nil
	}
	_, caveats := book.PartVerdict(l.Verdict)
	caveats = slices.DeleteFunc(caveats, func(c string) bool { return c == "so far" }) // that is of the latest season
	if b.IsSeasonOpen(season) {
		caveats = append([]string{"so far"}, caveats...)
	}
	if len(caveats) == 0 {
		return nil
	}
	return []string{words.Say(b.Units, "reserve", caveats)}
}

// reasonsOf are the rows of storm_reasons by storm, route and class.
func reasonsOf(b *book.Book, keep func(rows.StormReason) bool) []rows.StormReason {
	list := book.Where(b.Data.StormReasons, keep)
	slices.SortFunc(list, func(x, y rows.StormReason) int {
		return cmp.Or(b.CompareStorms(x.StormID, y.StormID), cmp.Compare(x.RouteID, y.RouteID),
			cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	return list
}

// reasonColumns are a route's pounds in a storm and why, with the road and the weather beside them; head names the route or the storm.
func reasonColumns(b *book.Book, head table.Column[rows.StormReason]) []table.Column[rows.StormReason] {
	storm := func(r rows.StormReason) rows.Storm { return b.StormIn(r.StormID, b.Routes[r.RouteID].ZoneID) }
	row := func(r rows.StormReason) rows.StormRoute { return b.SolidsOf(r.StormID, r.RouteID, r.MaterialClass) }
	return slices.Concat([]table.Column[rows.StormReason]{head,
		table.MaterialColumn(func(r rows.StormReason) (class, form string) { return r.MaterialClass, rows.Solid }),
		table.Numbers(b, "Per storm", "lb per lane-mile of route", format.MassRate, func(r rows.StormReason) *float64 { return r.StormLb }),
		table.Prose("Against the route's other storms of the season",
			func(r rows.StormReason) string { return format.Capital(words.Say(b.Units, "reason", r)) + "." })},
		table.At(row, []table.Column[rows.StormRoute]{bareAfter(b)}),
		table.At(storm, append(airColumns(b), waterColumn(b), freezingRain(b))))
}

// stormReasonsSection says on a storm's page which routes got more or less than usual, and by what.
func stormReasonsSection(b *book.Book, stormID string) table.Section {
	shown := table.Filled(b, table.Table{ID: "reasons-table", Caption: "Routes outside the middle half of their own storms"},
		reasonColumns(b, table.RouteColumn(b, "../", func(r rows.StormReason) string { return r.RouteID })),
		reasonsOf(b, func(r rows.StormReason) bool { return r.StormID == stormID }))
	return table.Section{ID: "reasons", Title: "Why more, why less",
		Text: []string{words.Say(b.Units, "reasons", len(shown.Rows), "route")}, Tables: []table.Table{shown}}
}

// routeReasonsSection says on a route's page in which storms it got more or less than usual, and by what.
func routeReasonsSection(b *book.Book, routeID string) table.Section {
	shown := table.Filled(b, table.Table{ID: "reasons-table",
		Caption: "Storms outside the middle half of the route's storms of the season, the latest first"},
		reasonColumns(b, table.StormColumn(b, "../", func(r rows.StormReason) string { return r.StormID })),
		book.LatestFirst(reasonsOf(b, func(r rows.StormReason) bool { return r.RouteID == routeID })))
	return table.Section{ID: "reasons", Title: "Why more, why less",
		Text: []string{words.Say(b.Units, "reasons", len(shown.Rows), "storm")}, Tables: []table.Table{shown}}
}
