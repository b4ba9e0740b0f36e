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
	var rows []routeTotal
	onAcetate, onChloride := 0, 0
	for _, route := range b.routeList {
		for _, row := range b.routeTotals(route.RouteID, season) {
			rows = append(rows, row)
			switch row.class {
			case b.compareClass():
				onAcetate++
			case b.besideClass():
				onChloride++
			}
		}
	}
	assigned := func(r routeTotal) string { class, _ := b.assigned(r.routeID); return cmp.Or(class, missing) }
	crew := func(r routeTotal) Cell { _, crewID := b.assigned(r.routeID); return b.crewCell("", crewID) }
	columns := slices.Concat(
		[]Column[routeTotal]{routeColumn(b, "", (routeTotal).route), classColumn("no solids", (routeTotal).solids)}, b.totalColumns(),
		[]Column[routeTotal]{zoneColumn(b, func(r routeTotal) string { return b.routes[r.routeID].ZoneID }).asProse(),
			words("Assigned", assigned).picked().safe(),
			cells("Crew", crew).asProse().ofCrews(),
			numbers(b, "Length", "lane-miles", laneLength, func(r routeTotal) *float64 { return b.routes[r.routeID].LaneMiles })})
	table := filled(b, Table{ID: "routes-table", Caption: "Routes in the " + season + " season, solids in closed storms",
		Download: "storm_routes.csv", Empty: "No route is listed."}, columns, rows, partedBy((routeTotal).route))
	return page{Title: "Routes", Nav: "routes", Lead: routesSentence(b.units, len(b.routeList), onAcetate, onChloride, season, b.through()),
		Sections: []Section{{ID: "routes", Title: "Every route", HasMarks: true, Tables: []Table{table}},
			{ID: "outside", Title: "Outside storms", Tables: []Table{b.outsideReasonsTable(season), b.frostTable(season)}}}}
}

// crewCell names a crew and leads to its page.
func (b *book) crewCell(root, crewID string) Cell {
	if crewID == "" {
		return Cell{Text: missing}
	}
	return link(b.crewName(crewID), b.crewHref(root, crewID))
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
		Lead: routeSentence(b.units, name, countStormsOf(rows), season, b.routeTally(route.RouteID, season, b.compareClass()), b.routeTally(route.RouteID, season, b.besideClass()), b.through())}
	course, err := b.routeCourse(route.RouteID, rows)
	if err != nil {
		return page{}, err
	}
	course.Text = append(course.Text, b.leadCorrected(&p, b.routeTally(route.RouteID, season, b.compareClass()), b.routeTally(route.RouteID, season, b.besideClass()))...)
	p.Sections = append(p.Sections, course, b.coverageSection(route), b.pastSection(season, "route-seasons", "The route's season and its past ones, solids in closed storms", route.RouteID), b.routeReasonsSection(route.RouteID), Section{ID: "work", Title: b.workTitle(), Tables: []Table{b.routeWorkTable(rows)}},
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
	byClass := b.classCourses()
	last := ""
	for _, row := range rows {
		storm, found := b.zoneRow(row.StormID, row.ZoneID)
		if !found || !b.isRated(row.MaterialClass) || row.Form != solid {
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
	c.classes = []classCourse{*byClass[b.compareClass()], *byClass[b.besideClass()]}
	classes := b.classesOfRoute(routeID)
	placed := b.placeOrders(begins, func(o Order) bool { return concerns(o, routeID, classes) })
	c.orders = marks(placed)
	chart, err := courseChart("route-rates", "route-storms", title, routeCourseLabel(title, routeID), c)
	chart.Notes = b.notes(placed)
	s.Chart = &chart
	return s, err
}

func (b *book) routeTable(rows []StormRoute) Table {
	return b.routesOwn(Table{ID: "route-storms", Caption: "What the route got in every storm, the latest first"},
		b.routeStormColumns(b.stormOf), rows)
}

func (b *book) workTitle() string {
	if b.namesCrews() {
		return "Crews and rounds"
	}
	return "Rounds"
}

// routeWorkTable says how the route was worked in each storm.
func (b *book) routeWorkTable(rows []StormRoute) Table {
	return b.routesOwn(Table{ID: "route-work", Caption: "How the route was worked in every storm, the latest first"}, b.workColumns(), rows)
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
	to := func(a Assignment) string {
		if a.ToDate == nil {
			return "on"
		}
		return date(*a.ToDate)
	}
	return filled(b, Table{ID: "assignment-table", Caption: "What the route is assigned, by date",
		Empty: "No assignment is listed for this route."}, []Column[Assignment]{
		dates("From", func(a Assignment) *time.Time { return &a.FromDate }).safe(),
		dates("To", func(a Assignment) *time.Time { return a.ToDate }).showing(to).safe(),
		classColumn("", func(a Assignment) string { return a.MaterialClass }),
		cells("Crew", func(a Assignment) Cell { return b.crewCell("../", a.CrewID) }).ofCrews(),
	}, latestFirst(b.assignedByRoute[route.RouteID]))
}

func (b *book) outsideSection(routeID string) Section {
	table := filled(b, Table{ID: "outside-table", Caption: "Passes outside storms, by season", Download: "outside_storms.csv",
		Empty: "No pass outside storms was reported.",
		Note:  "Frost, drifts, refreeze and other work between storms: counted here, in no rate."}, []Column[OutsideStorm]{
		seasonColumn(func(r OutsideStorm) string { return r.Season }),
		materialColumn(func(r OutsideStorm) (class, form string) { return r.MaterialClass, r.Form }),
		counts("Treating passes", "", func(r OutsideStorm) *int64 { return r.TreatingPasses }),
		counts("Unmeasured", "passes", func(r OutsideStorm) *int64 { return r.UnmeasuredPasses }),
		counts("Plow passes", "", func(r OutsideStorm) *int64 { return r.PlowPasses }),
		numbers(b, "Treated", "lane-miles", laneLength, func(r OutsideStorm) *float64 { return r.TreatedLaneMiles }),
		numbers(b, "Applied", "lb", mass, func(r OutsideStorm) *float64 { return r.AppliedLb }),
	}, b.outsideByRoute[routeID])
	tables := []Table{table}
	if passes := b.outsidePassTable(routeID); len(passes.Rows) > 0 {
		tables = append(tables, passes)
	}
	return Section{ID: "outside", Title: "Outside storms", Tables: tables}
}

// stormOf is the storm of a row of storm_routes in the route's zone.
func (b *book) stormOf(r StormRoute) Storm { return b.stormIn(r.StormID, r.ZoneID) }

// stormIn is a storm in a zone; empty where it is not listed.
func (b *book) stormIn(stormID, zoneID string) Storm {
	storm, _ := b.zoneRow(stormID, zoneID)
	return storm
}

// routesOwn fills a table of a route's page, the latest storm first: storm and material head its rows.
func (b *book) routesOwn(table Table, columns []Column[StormRoute], rows []StormRoute) Table {
	isOpen := func(r StormRoute) bool { return b.stormOf(r).IsOpen }
	heads := []Column[StormRoute]{cells("Storm", func(r StormRoute) Cell { return b.stormCell("../", r.StormID, isOpen(r)) }).safe(),
		materialColumn(materialOf)}
	table.Download, table.Empty = "storm_routes.csv", "No pass was reported in a storm."
	return filled(b, table, append(heads, columns...), latestFirst(rows), marked("open", isOpen))
}

// latestFirst turns a list around that has the latest last.
func latestFirst[T any](list []T) []T {
	list = slices.Clone(list)
	slices.Reverse(list)
	return list
}
