package pages

import (
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/table"
	"lanetally/site/words"
)

// CrewsPage lists the crews by id; there is no other order.
func CrewsPage(b *book.Book) table.Page {
	compared := func(value func(c rows.Crew) *int64) func(rows.Crew) any {
		return func(c rows.Crew) any {
			if !b.IsCompared(c.CrewID) {
				return (*int64)(nil)
			}
			return value(c)
		}
	}
	shown := table.Filled(b, table.Place{ID: "crews-table"}, b.ListedCrews(), table.Own[rows.Crew]{
		"crew":       func(c rows.Crew) any { return crewCell(b, "", c.CrewID) },
		"storms":     compared(func(c rows.Crew) *int64 { return new(int64(len(book.StormsOfCrew(b.CrewRows[c.CrewID])))) }),
		"routes":     compared(func(c rows.Crew) *int64 { return new(int64(len(book.RoutesOfCrew(b.CrewRows[c.CrewID])))) }),
		"experience": compared(func(c rows.Crew) *int64 { return book.LatestExperience(b.CrewRows[c.CrewID]) }),
		"assigned":   func(c rows.Crew) any { return b.AssignedTo(c.CrewID) },
		"figures": func(c rows.Crew) any {
			if !c.ShowsFigures() {
				return words.Say(b.Units, "small crew listed", c.Members)
			}
			return "on its page"
		}})
	s := table.Section{ID: "crews", Title: "Every crew", Tables: []table.Table{shown}}
	if compared := len(b.ComparedCrews()); compared == 0 && len(shown.Rows) > 0 {
		s.Text = []string{words.Say(b.Units, "side by side", true, compared, len(b.CrewsWithFigures()))}
	}
	return table.Page{Title: "Crews", Nav: "crews", Lead: words.Say(b.Units, "crews", len(b.ListedCrews()), b.Through()),
		Sections: []table.Section{s}}
}

// CrewPage shows one crew's own routes, storm by storm, with road state and temperature in each row. A small crew has totals of its routes
// only.
func CrewPage(b *book.Book, crew rows.Crew) table.Page {
	rows := b.CrewRows[crew.CrewID]
	name := b.CrewName(crew.CrewID)
	p := table.Page{Title: "Crew " + name, Root: "../", IsPrivate: !b.NamesCrews(),
		Lead: words.Say(b.Units, "small crew", name, crew.Members, b.Through())}
	if b.NamesCrews() {
		p.Nav = "crews"
	}
	totals := crewRoutesSection(b, crew.CrewID)
	totals.Links = []table.Cell{table.Link("Sheet for printing", "../"+b.CrewSheetFile(crew.CrewID))}
	if !crew.ShowsFigures() {
		p.Sections = []table.Section{totals}
		return p
	}
	p.Lead = words.Say(b.Units, "crew", name, len(book.StormsOfCrew(rows)), len(book.RoutesOfCrew(rows)), book.LatestExperience(rows),
		b.Through())
	shown := LatestStorms(rows)
	if multiples := crewRatesSection(b, shown); len(multiples.Figures) > 0 {
		p.Sections = append(p.Sections, multiples)
	}
	storms := table.Section{ID: "storms", Title: "Every storm", Tables: []table.Table{crewTable(b, shown)}}
	if text := words.Say(b.Units, "latest storms", len(book.StormsOfCrew(shown)), len(book.StormsOfCrew(rows))); text != "" {
		storms.Title, storms.Text = "Storm by storm", []string{text}
	}
	if b.Data.CrewFileLabels[crew.CrewID] == "" {
		storms.Tables[0].Download = ""
	}
	if text := words.Say(b.Units, "file label", b.Data.CrewFileLabels[crew.CrewID], b.NamesCrews()); text != "" {
		storms.Text = append(storms.Text, text)
	}
	p.Sections = append(p.Sections, totals, storms)
	return p
}

// mostCrewRows keeps a crew's page light enough for a phone in the field, however long the crew has worked.
const mostCrewRows = 80

// LatestStorms are a crew's rows of its latest storms, each whole: as many storms as fit, at least one.
func LatestStorms(rows []rows.CrewStorm) []rows.CrewStorm {
	begin := len(rows)
	for i := len(rows) - 1; i >= 0 && (len(rows)-i <= mostCrewRows || begin == len(rows)); i-- {
		if i == 0 || rows[i-1].StormID != rows[i].StormID {
			begin = i
		}
	}
	return rows[begin:]
}

// crewRatesSection draws the rates of the crew's routes, one picture a route.
func crewRatesSection(b *book.Book, list []rows.CrewStorm) table.Section {
	storms := book.StormsOfCrew(list)
	multiples := table.Section{ID: "rates", Title: "Rates on the crew's routes, storm by storm", HasMarks: true, Picture: "crew-rates",
		Text: []string{b.UnitWords("Pounds per lane-mile of solids; every picture has the same scale and the same storms. Road state " +
			"and temperature stand in the table's rows.")}}
	byRoute := book.Grouped(list, func(r rows.CrewStorm) string { return r.RouteID })
	high := highestRate(list)
	for _, routeID := range book.RoutesOfCrew(list) {
		label := words.Say(b.Units, "rates label", routeID)
		orders := routeOrders(b, routeID, storms)
		multiples.Figures = append(multiples.Figures,
			table.Figure{Title: b.RouteShort(routeID), Drawing: draw.SmallMultiple(b, label, storms, byRoute[routeID], high, orders),
				IsSmall: true,
				Caption: strings.Join(words.Notes(orders), " ")})
	}
	return multiples
}

// routeOrders are the orders of a route, or of all, that took effect among storms.
func routeOrders(b *book.Book, routeID string, storms []string) []book.PlacedOrder {
	var begins []time.Time
	for _, id := range storms {
		begins = append(begins, b.Began(id))
	}
	classes := b.ClassesOfRoute(routeID)
	return b.PlaceOrders(begins, func(o rows.Order) bool { return book.Concerns(o, routeID, classes) })
}

func highestRate(list []rows.CrewStorm) float64 {
	high := 100.0
	for _, row := range list {
		if row.Form == rows.Solid {
			high = max(high, rows.OrZero(row.RateLbPerLaneMi))
		}
	}
	return high
}

func crewTable(b *book.Book, list []rows.CrewStorm) table.Table {
	weather := func(r rows.CrewStorm) rows.Storm { return b.StormOf(b.StormRoute(r)) }
	return table.Filled(b, table.Place{ID: "crew-storms", Root: "../"}, book.LatestFirst(list), table.Own[rows.CrewStorm]{
		"storm_id":     func(r rows.CrewStorm) any { return table.StormCell(b, "../", r.StormID, weather(r).IsOpen) },
		"is_open":      func(r rows.CrewStorm) any { return weather(r).IsOpen },
		"road":         func(r rows.CrewStorm) any { return b.StormRoute(r) },
		"weather":      func(r rows.CrewStorm) any { return weather(r) },
		"learning_use": func(r rows.CrewStorm) any { return b.UnitWords(r.LearningUse) }})
}
