package pages

import (
	"cmp"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// routeTotals are a route's totals of each class of solids that it got, at least one row.
func routeTotals(b *book.Book, routeID, season string) []rows.Tally {
	var list []rows.Tally
	for _, class := range b.Sides() {
		if t := b.RouteTally(routeID, season, class); t.RouteStorms > 0 {
			list = append(list, t)
		}
	}
	if len(list) == 0 {
		list = []rows.Tally{{RouteID: routeID}}
	}
	return list
}

// crewRoutesSection gives the totals of a crew's routes in the latest season, whoever treated them.
func crewRoutesSection(b *book.Book, crewID string) table.Section {
	season := b.LatestSeason()
	var list []rows.Tally
	for _, routeID := range b.RoutesOf(crewID) {
		list = append(list, routeTotals(b, routeID, season)...)
	}
	shown := table.Filled(b, table.Place{ID: "crew-routes", Root: "../", Names: []any{season}}, list, table.Own[rows.Tally]{
		"material_class": solids,
		"shared": func(t rows.Tally) any {
			if t.MaterialClass == "" {
				return format.Missing
			}
			return othersOn(b, crewID, t.RouteID, season)
		}})
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

// solids names the class of a route's totals.
func solids(t rows.Tally) any {
	return table.Cell{Text: cmp.Or(t.MaterialClass, "no solids"), Class: t.MaterialClass}
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
