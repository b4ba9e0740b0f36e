package site

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// crewsPage lists the crews by id; there is no other order.
func (b *book) crewsPage() page {
	compared := func(c Crew, n int64) *int64 {
		if !b.isCompared(c.CrewID) {
			return nil
		}
		return &n
	}
	figures := func(c Crew) string {
		if !c.ShowsFigures() {
			return smallCrewWords(c.Members)
		}
		return "on its page"
	}
	table := filled(b, Table{ID: "crews-table", Caption: "Crews, by id", Download: "crew_storms.csv", Empty: "No crew is listed."},
		[]Column[Crew]{
			cells("Crew", func(c Crew) Cell { return b.crewCell("", c.CrewID) }).ofCrews(),
			counts("Storms", "treated", func(c Crew) *int64 { return compared(c, int64(len(stormsOfCrew(b.crewRows[c.CrewID])))) }),
			counts("Routes", "treated", func(c Crew) *int64 { return compared(c, int64(len(routesOfCrew(b.crewRows[c.CrewID])))) }),
			counts("{Acetate} storms", "in experience", func(c Crew) *int64 {
				if !b.isCompared(c.CrewID) {
					return nil
				}
				return latestExperience(b.crewRows[c.CrewID])
			}),
			prose("Assigned routes now", func(c Crew) string { return cmp.Or(b.assignedTo(c.CrewID), missing) }), prose("Figures", figures),
		}, b.listedCrews())
	s := Section{ID: "crews", Title: "Every crew", Tables: []Table{table}}
	if compared := len(b.comparedCrews()); compared == 0 && len(table.Rows) > 0 {
		s.Text = []string{sideBySideSentence(true, compared, len(b.crewsWithFigures()))}
	}
	return page{Title: "Crews", Nav: "crews", Lead: crewsSentence(b.units, len(b.listedCrews()), b.through()), Sections: []Section{s}}
}

func (b *book) crewHref(root, crewID string) string {
	if _, found := b.crews[crewID]; !found || !b.namesCrews() {
		return ""
	}
	return root + b.crewFile(crewID)
}

func (b *book) assignedTo(crewID string) string {
	list := ""
	for _, route := range b.routeList {
		if _, id := b.assigned(route.RouteID); id == crewID {
			if list != "" {
				list += ", "
			}
			list += route.RouteID
		}
	}
	return list
}

// stormsOfCrew lists the storms in which a crew treated, oldest first.
func stormsOfCrew(rows []CrewStorm) []string {
	return stormsIn(rows, func(r CrewStorm) string { return r.StormID })
}

// stormsIn lists the storms of rows that come storm by storm, each once.
func stormsIn[T any](rows []T, stormID func(T) string) []string {
	var storms []string
	for _, row := range rows {
		if n, id := len(storms), stormID(row); n == 0 || storms[n-1] != id {
			storms = append(storms, id)
		}
	}
	return storms
}

// routesOfCrew lists the routes that a crew treated, by id.
func routesOfCrew(rows []CrewStorm) []string {
	var routes []string
	for _, row := range rows {
		if !slices.Contains(routes, row.RouteID) {
			routes = append(routes, row.RouteID)
		}
	}
	slices.Sort(routes)
	return routes
}

// latestExperience is prior_storms at the crew's latest acetate storm, nil without one.
func latestExperience(rows []CrewStorm) *int64 {
	for _, row := range slices.Backward(rows) {
		if row.PriorStorms != nil {
			return row.PriorStorms
		}
	}
	return nil
}

// crewPage shows one crew's own routes, storm by storm, with road state and temperature in each row. A small crew has totals of its routes only.
func (b *book) crewPage(crew Crew) page {
	rows := b.crewRows[crew.CrewID]
	name := b.crewName(crew.CrewID)
	p := page{Title: "Crew " + name, Root: "../", IsPrivate: !b.namesCrews(), Lead: smallCrewSentence(name, crew.Members, b.through())}
	if b.namesCrews() {
		p.Nav = "crews"
	}
	totals := b.crewRoutesSection(crew.CrewID)
	totals.Links = []Cell{link("Sheet for printing", "../"+b.crewSheetFile(crew.CrewID))}
	if !crew.ShowsFigures() {
		p.Sections = []Section{totals}
		return p
	}
	p.Lead = crewSentence(b.units, name, len(stormsOfCrew(rows)), len(routesOfCrew(rows)), latestExperience(rows), b.through())
	shown := latestStorms(rows)
	if multiples := b.crewRatesSection(shown); len(multiples.Figures) > 0 {
		p.Sections = append(p.Sections, multiples)
	}
	storms := Section{ID: "storms", Title: "Every storm", Tables: []Table{b.crewTable(shown)}}
	if text := latestStormsSentence(len(stormsOfCrew(shown)), len(stormsOfCrew(rows))); text != "" {
		storms.Title, storms.Text = "Storm by storm", []string{text}
	}
	if b.data.CrewFileLabels[crew.CrewID] == "" {
		storms.Tables[0].Download = ""
	}
	if text := fileLabelSentence(b.data.CrewFileLabels[crew.CrewID], b.namesCrews()); text != "" {
		storms.Text = append(storms.Text, text)
	}
	p.Sections = append(p.Sections, totals, storms)
	return p
}

// mostCrewRows keeps a crew's page light enough for a phone in the field, however long the crew has worked.
const mostCrewRows = 80

// latestStorms are a crew's rows of its latest storms, each whole: as many storms as fit, at least one.
func latestStorms(rows []CrewStorm) []CrewStorm {
	begin := len(rows)
	for i := len(rows) - 1; i >= 0 && (len(rows)-i <= mostCrewRows || begin == len(rows)); i-- {
		if i == 0 || rows[i-1].StormID != rows[i].StormID {
			begin = i
		}
	}
	return rows[begin:]
}

// crewRatesSection draws the rates of the crew's routes, one picture a route.
func (b *book) crewRatesSection(rows []CrewStorm) Section {
	storms := stormsOfCrew(rows)
	multiples := Section{ID: "rates", Title: "Rates on the crew's routes, storm by storm", HasMarks: true, Picture: "crew-rates",
		Text: []string{b.unitWords("Pounds per lane-mile of solids; every picture has the same scale and the same storms. Road state and temperature stand in the table's rows.")}}
	byRoute := grouped(rows, func(r CrewStorm) string { return r.RouteID })
	high := highestRate(rows)
	for _, routeID := range routesOfCrew(rows) {
		label := ratesLabel(routeID)
		orders := b.routeOrders(routeID, storms)
		multiples.Figures = append(multiples.Figures, Figure{Title: b.routeShort(routeID), Drawing: b.smallMultiple(label, storms, byRoute[routeID], high, orders), IsSmall: true,
			Caption: strings.Join(b.notes(orders), " ")})
	}
	return multiples
}

// routeOrders are the orders of a route, or of all, that took effect among storms.
func (b *book) routeOrders(routeID string, storms []string) []placedOrder {
	var begins []time.Time
	for _, id := range storms {
		begins = append(begins, b.began(id))
	}
	classes := b.classesOfRoute(routeID)
	return b.placeOrders(begins, func(o Order) bool { return concerns(o, routeID, classes) })
}

func highestRate(rows []CrewStorm) float64 {
	high := 100.0
	for _, row := range rows {
		if row.Form == solid {
			high = max(high, orZero(row.RateLbPerLaneMi))
		}
	}
	return high
}

func (b *book) crewTable(rows []CrewStorm) Table {
	storm := func(r CrewStorm) Storm { return b.stormOf(b.stormRoute(r)) }
	isOpen := func(r CrewStorm) bool { return storm(r).IsOpen }
	columns := []Column[CrewStorm]{
		cells("Storm", func(r CrewStorm) Cell { return b.stormCell("../", r.StormID, isOpen(r)) }).safe(),
		routeColumn(b, "../", func(r CrewStorm) string { return r.RouteID }).asProse(),
		materialColumn(func(r CrewStorm) (class, form string) { return r.MaterialClass, r.Form }),
		numbers(b, "Rate", "lb per lane-mile", massRate, func(r CrewStorm) *float64 { return r.RateLbPerLaneMi })}
	columns = slices.Concat(columns, at(b.stormRoute, []Column[StormRoute]{b.bareAfter()}), at(storm, b.airColumns()), []Column[CrewStorm]{
		numbers(b, "Applied", "lb", mass, func(r CrewStorm) *float64 { return r.AppliedLb }),
		numbers(b, "Treated", "lane-miles", laneLength, func(r CrewStorm) *float64 { return r.TreatedLaneMiles }),
		numbers(b, "Measured", "lane-miles", laneLength, func(r CrewStorm) *float64 { return r.MeasuredLaneMiles }),
		counts("{Acetate} storms before", "", func(r CrewStorm) *int64 { return r.PriorStorms }),
		words("In the learning fit", func(r CrewStorm) string { return cmp.Or(b.unitWords(r.LearningUse), missing) })})
	return filled(b, Table{ID: "crew-storms", Caption: "What the crew put down, the latest storm first", Download: "crew_storms.csv",
		Empty: "No treating pass in a storm was reported."}, columns, latestFirst(rows),
		partedBy(func(r CrewStorm) string { return r.StormID }), marked("open", isOpen))
}

// stormRoute is the row of storm_routes that a crew's row belongs to.
func (b *book) stormRoute(r CrewStorm) StormRoute {
	return b.rowByKey[stormRouteKey{r.StormID, r.RouteID, r.MaterialClass, r.Form}]
}

// solidsOf is the row of storm_routes of a class of solids; empty where the route got none in the storm.
func (b *book) solidsOf(stormID, routeID, class string) StormRoute {
	return b.rowByKey[stormRouteKey{stormID, routeID, class, solid}]
}
