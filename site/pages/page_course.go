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
	shown := table.Filled(b, table.Place{ID: "claims"}, list, table.Own[words.Claim]{
		"answer": func(c words.Claim) any {
			if b.IsSeasonOpen(season) {
				return c.Answer + ", so far"
			}
			return c.Answer
		},
		"says": func(c words.Claim) any { return format.Capital(c.Words) + "." }})
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

// reasonsSection says why routes got more or less than usual, with road and weather beside it: of storms or of routes, without the
// column of the other.
func reasonsSection(b *book.Book, of, without, caption string, list []rows.StormReason) table.Section {
	shown := table.Filled(b, table.Place{ID: "reasons-table", Root: "../", Names: []any{caption}, Without: []string{without}}, list,
		table.Own[rows.StormReason]{
			"material": func(r rows.StormReason) any { return table.MaterialCell(r.MaterialClass, rows.Solid) },
			"reason":   func(r rows.StormReason) any { return format.Capital(words.Say(b.Units, "reason", r)) + "." },
			"road":     func(r rows.StormReason) any { return b.SolidsOf(r.StormID, r.RouteID, r.MaterialClass) },
			"storm":    func(r rows.StormReason) any { return b.StormIn(r.StormID, b.Routes[r.RouteID].ZoneID) }})
	return table.Section{ID: "reasons", Title: "Why more, why less",
		Text: []string{words.Say(b.Units, "reasons", len(shown.Rows), of)}, Tables: []table.Table{shown}}
}

// stormReasonsSection says on a storm's page which routes got more or less than usual, and by what.
func stormReasonsSection(b *book.Book, stormID string) table.Section {
	return reasonsSection(b, "route", "storm_id", "Routes outside the middle half of their own storms",
		reasonsOf(b, func(r rows.StormReason) bool { return r.StormID == stormID }))
}

// routeReasonsSection says on a route's page in which storms it got more or less than usual, and by what.
func routeReasonsSection(b *book.Book, routeID string) table.Section {
	return reasonsSection(b, "storm", "route_id", "Storms outside the middle half of the route's storms of the season, the latest first",
		book.LatestFirst(reasonsOf(b, func(r rows.StormReason) bool { return r.RouteID == routeID })))
}
