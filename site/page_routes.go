package site

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// routesPage lists the routes with what each got this season.
func (b *book) routesPage() page {
	season := b.latestSeason()
	table := Table{ID: "routes-table", Caption: "Routes in the " + season + " season, solids in closed storms", Download: "storm_routes.csv", Empty: "No route is listed.",
		Columns: slices.Concat([]Column{words("Route"), words("Class")}, totalColumns(), withoutCrews(b, []Column{prose("Zone"), words("Assigned"), prose("Crew"), figures("Length", "lane-miles")}, 2))}
	onAcetate, onChloride := 0, 0
	for _, route := range b.routeList {
		rows := b.routeRows(route, season)
		for _, row := range rows {
			for _, cell := range row.Cells { // only the cell of the class has one
				switch cell.Class {
				case acetate:
					onAcetate++
				case chloride:
					onChloride++
				}
			}
		}
		table.Rows = append(table.Rows, rows...)
	}
	return page{Title: "Routes", Nav: "routes", Lead: routesSentence(len(b.routeList), onAcetate, onChloride, season, b.through()),
		Sections: []Section{{ID: "routes", Title: "Every route", HasMarks: true, Tables: []Table{table}},
			{ID: "outside", Title: "Outside storms", Tables: []Table{b.outsideReasonsTable(season), b.frostTable(season)}}}}
}

// routeRows is one row for each class of solids that a route got in the season's closed storms, at least one.
func (b *book) routeRows(route Route, season string) []Row {
	class, crewID := b.assigned(route.RouteID)
	about := func() []Cell {
		crew := Cell{Text: missing}
		if crewID != "" {
			crew = link(b.crewName(crewID), b.crewHref("", crewID))
		}
		return withoutCrews(b, []Cell{{Text: b.zoneName(route.ZoneID)}, {Text: cmp.Or(class, missing)}, crew, {Text: b.laneMiles(route.LaneMiles)}}, 2)
	}
	name := link(b.routeShort(route.RouteID), b.routeHref("", route.RouteID))
	var rows []Row
	for _, c := range []string{acetate, chloride} {
		t := b.routeTally(route.RouteID, season, c)
		if t.routeStorms == 0 {
			continue
		}
		rows = append(rows, Row{Cells: slices.Concat([]Cell{name, {Text: c, Class: c}}, b.routeTotals(t), about())})
	}
	if len(rows) == 0 {
		rows = []Row{{Cells: slices.Concat([]Cell{name}, cells("no solids", missing, missing, missing, missing, missing, missing, missing, "0"), about())}}
	}
	rows[0].Mark = "parted"
	return rows
}

// assigned is the route's latest assignment that has begun when the data ends; both are empty without one.
func (b *book) assigned(routeID string) (class, crewID string) {
	for _, a := range b.assignedByRoute[routeID] {
		if b.data.AsOf == nil || !b.localMidnight(a.FromDate).After(*b.data.AsOf) {
			class, crewID = a.MaterialClass, a.CrewID
		}
	}
	return class, crewID
}

// routeTally sums a route's solids of one class over the closed storms of a season.
func (b *book) routeTally(routeID, season, class string) tally {
	return *b.tallyStretch(b.rowsByRoute[routeID], stretch{season: season}, class)
}

func (b *book) routeHref(root, routeID string) string {
	if _, found := b.routes[routeID]; !found {
		return ""
	}
	return root + "routes/" + FileName(routeID) + ".html"
}

// routePage shows one route: its rates over all its storms, every number of each storm, and its passes outside storms.
func (b *book) routePage(route Route) (page, error) {
	rows := b.rowsByRoute[route.RouteID]
	season := b.latestSeason()
	name := b.routeName(route.RouteID)
	p := page{Title: capital(named("route", name)), Nav: "routes", Root: "../",
		Lead: routeSentence(b.units, name, countStormsOf(rows), season, b.routeTally(route.RouteID, season, acetate), b.routeTally(route.RouteID, season, chloride), b.through())}
	course, err := b.routeCourse(route.RouteID, rows)
	if err != nil {
		return page{}, err
	}
	course.Text = append(course.Text, b.leadCorrected(&p, b.routeTally(route.RouteID, season, acetate), b.routeTally(route.RouteID, season, chloride))...)
	p.Sections = append(p.Sections, course, b.coverageSection(route), b.pastSection(season, "route-seasons", "The route's season and its past ones, solids in closed storms", rows), b.routeReasonsSection(route.RouteID), Section{ID: "work", Title: b.workTitle(), Tables: []Table{b.routeWorkTable(rows)}},
		Section{ID: "assignments", Title: "What it is assigned", Tables: []Table{b.assignmentTable(route)}}, b.outsideSection(route.RouteID))
	return p, nil
}

func countStormsOf(rows []StormRoute) int {
	n := 0
	for i, row := range rows {
		if i == 0 || rows[i-1].StormID != row.StormID {
			n++
		}
	}
	return n
}

func (b *book) routeCourse(routeID string, rows []StormRoute) (Section, error) {
	c := course{units: b.units}
	var begins []time.Time
	byClass := map[string]*classCourse{acetate: {class: acetate}, chloride: {class: chloride}}
	last := ""
	for _, row := range rows {
		storm, found := b.zoneRow(row.StormID, row.ZoneID)
		if !found || !isRated(row.MaterialClass) || row.Form != solid {
			continue
		}
		if row.StormID != last {
			last = row.StormID
			begins = append(begins, b.eventByID[row.StormID].BeganAt)
			c.storms = append(c.storms, b.clock.day(storm.BeganAt))
			c.isOpen, c.surface = append(c.isOpen, storm.IsOpen), append(c.surface, storm.SurfaceFMin)
			for _, class := range byClass {
				class.rate, class.regain = append(class.rate, nil), append(class.regain, nil)
			}
		}
		n := len(c.storms) - 1
		byClass[row.MaterialClass].rate[n], byClass[row.MaterialClass].regain[n] = row.RateLbPerLaneMi, row.RegainH
	}
	title := ratesTitle(len(c.storms))
	s := Section{ID: "course", Title: title, Tables: []Table{b.routeTable(rows)}}
	if len(c.storms) == 0 {
		return s, nil
	}
	c.classes = []classCourse{*byClass[acetate], *byClass[chloride]}
	classes := b.classesOfRoute(routeID)
	placed := b.placeOrders(begins, func(o Order) bool { return concerns(o, routeID, classes) })
	c.orders = marks(placed)
	chart, err := courseChart("route-rates", "route-storms", title, routeCourseLabel(title, routeID), c)
	chart.Notes = b.notes(placed)
	s.Chart = &chart
	return s, err
}

func (b *book) routeTable(rows []StormRoute) Table {
	table := Table{ID: "route-storms", Caption: "What the route got in every storm, the latest first", Download: "storm_routes.csv",
		Columns: append([]Column{words("Storm"), words("Material")}, b.routeStormColumns()...), Empty: "No pass was reported in a storm."}
	for _, r := range slices.Backward(rows) {
		storm, _ := b.zoneRow(r.StormID, r.ZoneID)
		table.Rows = append(table.Rows, b.stormRow(r, storm, b.routeStormCells(r, storm)))
	}
	return table
}

func (b *book) workTitle() string {
	if b.namesCrews() {
		return "Crews and rounds"
	}
	return "Rounds"
}

// routeWorkTable says how the route was worked in each storm.
func (b *book) routeWorkTable(rows []StormRoute) Table {
	table := Table{ID: "route-work", Caption: "How the route was worked in every storm, the latest first", Download: "storm_routes.csv",
		Columns: append([]Column{words("Storm"), words("Material")}, b.workColumns()...), Empty: "No pass was reported in a storm."}
	for _, r := range slices.Backward(rows) {
		storm, _ := b.zoneRow(r.StormID, r.ZoneID)
		table.Rows = append(table.Rows, b.stormRow(r, storm, b.workCells(r)))
	}
	return table
}

// stormRow heads a route's cells with the storm and the material.
func (b *book) stormRow(r StormRoute, storm Storm, rest []Cell) Row {
	row := Row{Cells: append([]Cell{link(r.StormID, b.stormHref("../", r.StormID)), materialCell(r.MaterialClass, r.Form)}, rest...)}
	if storm.IsOpen {
		row.Mark = "open"
		row.Cells[0].Text += ", open"
	}
	return row
}

// crewNames names the crews of a list that `;` separates.
func (b *book) crewNames(ids string) string {
	if ids == "" {
		return missing
	}
	list := strings.Split(ids, ";")
	for i, id := range list {
		list[i] = b.crewName(id)
	}
	return strings.Join(list, "; ")
}

func (b *book) assignmentTable(route Route) Table {
	table := Table{ID: "assignment-table", Caption: "What the route is assigned, by date", Empty: "No assignment is listed for this route.",
		Columns: withoutCrews(b, []Column{words("From"), words("To"), words("Class"), words("Crew")}, 3)}
	for _, a := range slices.Backward(b.assignedByRoute[route.RouteID]) {
		to := "on"
		if a.ToDate != nil {
			to = date(*a.ToDate)
		}
		crew := Cell{Text: missing}
		if a.CrewID != "" {
			crew = link(b.crewName(a.CrewID), b.crewHref("../", a.CrewID))
		}
		table.Rows = append(table.Rows, Row{Cells: withoutCrews(b, []Cell{{Text: date(a.FromDate)}, {Text: to}, {Text: a.MaterialClass, Class: a.MaterialClass}, crew}, 3)})
	}
	return table
}

func (b *book) outsideSection(routeID string) Section {
	table := Table{ID: "outside-table", Caption: "Passes outside storms, by season", Download: "outside_storms.csv", Empty: "No pass outside storms was reported.",
		Note:    "Frost, drifts, refreeze and other work between storms: counted here, in no rate.",
		Columns: []Column{words("Season"), words("Material"), figures("Treating passes", ""), figures("Unmeasured", "passes"), figures("Plow passes", ""), figures("Treated", "lane-miles"), figures("Applied", "lb")}}
	for _, r := range b.outsideByRoute[routeID] {
		table.Rows = append(table.Rows, Row{Cells: []Cell{{Text: r.Season}, materialCell(r.MaterialClass, r.Form), {Text: count(r.TreatingPasses)}, {Text: count(r.UnmeasuredPasses)},
			{Text: count(r.PlowPasses)}, {Text: b.laneMiles(r.TreatedLaneMiles)}, {Text: b.pounds(r.AppliedLb)}}})
	}
	tables := []Table{table}
	if passes := b.outsidePassTable(routeID); len(passes.Rows) > 0 {
		tables = append(tables, passes)
	}
	return Section{ID: "outside", Title: "Outside storms", Tables: tables}
}
