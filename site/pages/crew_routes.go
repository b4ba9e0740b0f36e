package pages

import (
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// routeTotals are a route's totals of each class of solids that it got, at least one row.
func routeTotals(b *book.Book, routeID, season string) []routeTotal {
	var list []routeTotal
	for _, class := range b.Sides() {
		if t := b.RouteTally(routeID, season, class); t.RouteStorms > 0 {
			list = append(list, routeTotal{routeID, class, t})
		}
	}
	if len(list) == 0 {
		list = []routeTotal{{routeID, "", rows.Tally{}}}
	}
	return list
}

func totalColumns(b *book.Book) []table.Column[routeTotal] {
	return table.At(func(r routeTotal) rows.Tally { return r.Tally }, append(roadColumns(b), stormsColumn("treated")))
}

// crewRoutesSection gives the totals of a crew's routes in the latest season, whoever treated them.
func crewRoutesSection(b *book.Book, crewID string) table.Section {
	season := b.LatestSeason()
	var rows []routeTotal
	for _, routeID := range b.RoutesOf(crewID) {
		rows = append(rows, routeTotals(b, routeID, season)...)
	}
	shared := func(r routeTotal) string {
		if r.class == "" {
			return format.Missing
		}
		return othersOn(b, crewID, r.routeID, season)
	}
	columns := []table.Column[routeTotal]{table.RouteColumn(b, "../", (routeTotal).route).AsProse(),
		table.ClassColumn("no solids", (routeTotal).solids),
		table.Prose("Shared with", shared)}
	shown := table.Filled(b, table.Table{ID: "crew-routes",
		Caption:  "Totals of the routes in the " + season + " season, all crews together; solids in closed storms",
		Download: "storm_routes.csv", Empty: "No route is assigned to the crew, and it treated none."},
		append(columns, totalColumns(b)...), rows, table.PartedBy((routeTotal).route))
	return table.Section{ID: "crew-routes-season", Title: "The crew's routes this season", Tables: []table.Table{shown}}
}

// othersOn says who else worked a route: by name where pages name crews, else by number.
func othersOn(b *book.Book, crewID, routeID, season string) string {
	others := b.OthersIn(season, routeID, crewID)
	if b.NamesCrews() && len(others) > 0 {
		return b.CrewNames(strings.Join(others, ";"))
	}
	return words.Say(b.Units, "shared with", len(others))
}

// routeTotal is what a route got of one class over the closed storms of a season, all crews together; class is empty on
// the one row of a route without solids.
type routeTotal struct {
	routeID, class string
	rows.Tally
}

func (r routeTotal) route() string { return r.routeID }

func (r routeTotal) solids() string { return r.class }

// bothBases gives a column by both bases of pounds, the leading one first; one column where nothing was weighed.
func bothBases[T any](b *book.Book, head, unit string, m format.Measure, reported, corrected func(T) *float64) []table.Column[T] {
	columns := []table.Column[T]{table.Numbers(b, head, unit+", as reported", m, reported),
		table.Numbers(b, head, unit+", by weighed loads", m, corrected)}
	switch {
	case !b.HasCorrected:
		return []table.Column[T]{table.Numbers(b, head, unit, m, reported)}
	case b.LeadsCorrected():
		slices.Reverse(columns)
	}
	return columns
}

// leadCorrected puts the sentence on weighed loads in front of a page's lead where those lead; else it gives it as text for below.
func leadCorrected(b *book.Book, p *table.Page, ac, cl rows.Tally) []string {
	text := words.Say(b.Units, "weighed", ac, cl)
	switch {
	case text == "":
		return nil
	case b.LeadsCorrected():
		p.Lead = words.Say(b.Units, "weighed first", text, p.Lead)
		return nil
	}
	return []string{text}
}
