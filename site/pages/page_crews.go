package pages

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// CrewsPage lists the crews by id; there is no other order.
func CrewsPage(b *book.Book) table.Page {
	compared := func(c rows.Crew, n int64) *int64 {
		if !b.IsCompared(c.CrewID) {
			return nil
		}
		return &n
	}
	figures := func(c rows.Crew) string {
		if !c.ShowsFigures() {
			return words.Say(b.Units, "small crew listed", c.Members)
		}
		return "on its page"
	}
	shown := table.Filled(b, table.Table{ID: "crews-table", Caption: "Crews, by id", Download: "crew_storms.csv",
		Empty: "No crew is listed."},
		[]table.Column[rows.Crew]{
			table.Cells("Crew", func(c rows.Crew) table.Cell { return crewCell(b, "", c.CrewID) }).OfCrews(),
			table.Counts("Storms", "treated", func(c rows.Crew) *int64 {
				return compared(c,
					int64(len(book.StormsOfCrew(b.CrewRows[c.CrewID]))))
			}),
			table.Counts("Routes", "treated", func(c rows.Crew) *int64 {
				return compared(c,
					int64(len(book.RoutesOfCrew(b.CrewRows[c.CrewID]))))
			}),
			table.Counts("{Acetate} storms", "in experience", func(c rows.Crew) *int64 {
				if !b.IsCompared(c.CrewID) {
					return nil
				}
				return book.LatestExperience(b.CrewRows[c.CrewID])
			}),
			table.Prose("Assigned routes now", func(c rows.Crew) string { return cmp.Or(b.AssignedTo(c.CrewID), format.Missing) }),
			table.Prose("Figures", figures),
		}, b.ListedCrews())
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
	storm := func(r rows.CrewStorm) rows.Storm { return b.StormOf(b.StormRoute(r)) }
	isOpen := func(r rows.CrewStorm) bool { return storm(r).IsOpen }
	columns := []table.Column[rows.CrewStorm]{
		table.Cells("Storm", func(r rows.CrewStorm) table.Cell { return table.StormCell(b, "../", r.StormID, isOpen(r)) }).Safe(),
		table.RouteColumn(b, "../", func(r rows.CrewStorm) string { return r.RouteID }).AsProse(),
		table.MaterialColumn(func(r rows.CrewStorm) (class, form string) { return r.MaterialClass, r.Form }),
		table.Numbers(b, "Rate", "lb per lane-mile", format.MassRate, func(r rows.CrewStorm) *float64 { return r.RateLbPerLaneMi })}
	columns = slices.Concat(columns, table.At(b.StormRoute, []table.Column[rows.StormRoute]{bareAfter(b)}), table.At(storm, airColumns(b)),
		[]table.Column[rows.CrewStorm]{
			table.Numbers(b, "Applied", "lb", format.Mass, func(r rows.CrewStorm) *float64 { return r.AppliedLb }),
			table.Numbers(b, "Treated", "lane-miles", format.LaneLength, func(r rows.CrewStorm) *float64 { return r.TreatedLaneMiles }),
			table.Numbers(b, "Measured", "lane-miles", format.LaneLength, func(r rows.CrewStorm) *float64 { return r.MeasuredLaneMiles }),
			table.Counts("{Acetate} storms before", "", func(r rows.CrewStorm) *int64 { return r.PriorStorms }),
			table.Words("In the learning fit", func(r rows.CrewStorm) string {
				return cmp.Or(b.UnitWords(r.LearningUse),
					format.Missing)
			})})
	return table.Filled(b, table.Table{ID: "crew-storms", Caption: "What the crew put down, the latest storm first",
		Download: "crew_storms.csv",
		Empty:    "No treating pass in a storm was reported."}, columns, book.LatestFirst(list),
		table.PartedBy(func(r rows.CrewStorm) string { return r.StormID }), table.Marked("open", isOpen))
}
