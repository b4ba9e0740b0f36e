package pages

import (
	"cmp"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// RoutesPage lists the routes with what each got this season.
func RoutesPage(b *book.Book) table.Page {
	season := b.LatestSeason()
	var rows []routeTotal
	onAcetate, onChloride := 0, 0
	for _, route := range b.RouteList {
		for _, row := range routeTotals(b, route.RouteID, season) {
			rows = append(rows, row)
			switch row.class {
			case b.CompareClass():
				onAcetate++
			case b.BesideClass():
				onChloride++
			}
		}
	}
	assigned := func(r routeTotal) string { class, _ := b.Assigned(r.routeID); return cmp.Or(class, format.Missing) }
	crew := func(r routeTotal) table.Cell { _, crewID := b.Assigned(r.routeID); return crewCell(b, "", crewID) }
	columns := slices.Concat(
		[]table.Column[routeTotal]{table.RouteColumn(b, "", (routeTotal).route), table.ClassColumn("no solids", (routeTotal).solids)},
		totalColumns(b),
		[]table.Column[routeTotal]{table.ZoneColumn(b, func(r routeTotal) string { return b.Routes[r.routeID].ZoneID }).AsProse(),
			table.Words("Assigned", assigned).Picked().Safe(),
			table.Cells("Crew", crew).AsProse().OfCrews(),
			table.Numbers(b, "Length", "lane-miles", format.LaneLength,
				func(r routeTotal) *float64 { return b.Routes[r.routeID].LaneMiles })})
	shown := table.Filled(b, table.Table{ID: "routes-table", Caption: "Routes in the " + season + " season, solids in closed storms",
		Download: "storm_routes.csv", Empty: "No route is listed."}, columns, rows, table.PartedBy((routeTotal).route))
	return table.Page{Title: "Routes", Nav: "routes",
		Lead: words.Say(b.Units, "routes", len(b.RouteList), onAcetate, onChloride, season, b.Through()),
		Sections: []table.Section{{ID: "routes", Title: "Every route", HasMarks: true, Tables: []table.Table{shown}},
			{ID: "outside", Title: "Outside storms", Tables: []table.Table{outsideReasonsTable(b, season), frostTable(b, season)}}}}
}

// crewCell names a crew and leads to its page.
func crewCell(b *book.Book, root, crewID string) table.Cell {
	if crewID == "" {
		return table.Cell{Text: format.Missing}
	}
	return table.Link(b.CrewName(crewID), b.CrewHref(root, crewID))
}

// RoutePage shows one route: its rates over all its storms, every number of each storm, and its passes outside storms.
func RoutePage(b *book.Book, route rows.Route) (table.Page, error) {
	rows := b.RowsByRoute[route.RouteID]
	season := b.LatestSeason()
	name := b.RouteName(route.RouteID)
	p := table.Page{Title: format.Capital(format.Named("route", name)), Nav: "routes", Root: "../",
		Lead: words.Say(b.Units, "route", name, book.CountStormsOf(rows), season, b.RouteTally(route.RouteID, season, b.CompareClass()),
			b.RouteTally(route.RouteID, season, b.BesideClass()), b.Through())}
	course, err := routeCourse(b, route.RouteID, rows)
	if err != nil {
		return table.Page{}, err
	}
	course.Text = append(course.Text, leadCorrected(b, &p, b.RouteTally(route.RouteID, season, b.CompareClass()),
		b.RouteTally(route.RouteID, season, b.BesideClass()))...)
	p.Sections = append(p.Sections, course, coverageSection(b, route), PastSection(b, season, "route-seasons", "The route's season and "+
		"its past ones, solids in closed storms", route.RouteID), routeReasonsSection(b, route.RouteID),
		table.Section{ID: "work", Title: workTitle(b), Tables: []table.Table{routeWorkTable(b, rows)}},
		table.Section{ID: "assignments", Title: "What it is assigned", Tables: []table.Table{assignmentTable(b, route)}},
		outsideSection(b, route.RouteID))
	return p, nil
}

func routeCourse(b *book.Book, routeID string, list []rows.StormRoute) (table.Section, error) {
	c := draw.Course{Units: b.Units}
	var begins []time.Time
	byClass := draw.ClassCourses(b.Units.Classes)
	last := ""
	for _, row := range list {
		storm, found := b.ZoneRow(row.StormID, row.ZoneID)
		if !found || !book.IsRated(b.Units.Classes, row.MaterialClass) || row.Form != rows.Solid {
			continue
		}
		if row.StormID != last {
			last = row.StormID
			begins = append(begins, b.EventByID[row.StormID].BeganAt)
			c.Storms = append(c.Storms, b.Clock.Day(storm.BeganAt))
			c.IsOpen, c.Surface = append(c.IsOpen, storm.IsOpen), append(c.Surface, storm.SurfaceFMin)
			for _, class := range byClass {
				class.Rate, class.Regain = append(class.Rate, nil), append(class.Regain, nil)
			}
		}
		n := len(c.Storms) - 1
		byClass[row.MaterialClass].Rate[n], byClass[row.MaterialClass].Regain[n] = row.RateLbPerLaneMi, row.CappedRegainH
	}
	title := words.Say(b.Units, "rates title", len(c.Storms))
	s := table.Section{ID: "course", Title: title, Tables: []table.Table{routeTable(b, list)}}
	if len(c.Storms) == 0 {
		return s, nil
	}
	c.Classes = []draw.ClassCourse{*byClass[b.CompareClass()], *byClass[b.BesideClass()]}
	classes := b.ClassesOfRoute(routeID)
	placed := b.PlaceOrders(begins, func(o rows.Order) bool { return book.Concerns(o, routeID, classes) })
	c.Orders = book.Marks(placed)
	chart, err := draw.CourseChart("route-rates", "route-storms", title, words.Say(b.Units, "route course label", title, routeID), c)
	chart.Notes = words.Notes(placed)
	s.Chart = &chart
	return s, err
}

func routeTable(b *book.Book, rows []rows.StormRoute) table.Table {
	return routesOwn(b, table.Table{ID: "route-storms", Caption: "What the route got in every storm, the latest first"},
		routeStormColumns(b, b.StormOf), rows)
}

func workTitle(b *book.Book) string {
	if b.NamesCrews() {
		return "Crews and rounds"
	}
	return "Rounds"
}

// routeWorkTable says how the route was worked in each storm.
func routeWorkTable(b *book.Book, rows []rows.StormRoute) table.Table {
	return routesOwn(b, table.Table{ID: "route-work", Caption: "How the route was worked in every storm, the latest first"},
		workColumns(b), rows)
}

func assignmentTable(b *book.Book, route rows.Route) table.Table {
	to := func(a rows.Assignment) string {
		if a.ToDate == nil {
			return "on"
		}
		return format.Date(*a.ToDate)
	}
	return table.Filled(b, table.Table{ID: "assignment-table", Caption: "What the route is assigned, by date",
		Empty: "No assignment is listed for this route."}, []table.Column[rows.Assignment]{
		table.Dates("From", func(a rows.Assignment) *time.Time { return &a.FromDate }).Safe(),
		table.Dates("To", func(a rows.Assignment) *time.Time { return a.ToDate }).Showing(to).Safe(),
		table.ClassColumn("", func(a rows.Assignment) string { return a.MaterialClass }),
		table.Cells("Crew", func(a rows.Assignment) table.Cell { return crewCell(b, "../", a.CrewID) }).OfCrews(),
	}, book.LatestFirst(b.AssignedByRoute[route.RouteID]))
}

func outsideSection(b *book.Book, routeID string) table.Section {
	shown := table.Filled(b, table.Table{ID: "outside-table", Caption: "Passes outside storms, by season",
		Download: "outside_storms.csv",
		Empty:    "No pass outside storms was reported.",
		Note:     "Frost, drifts, refreeze and other work between storms: counted here, in no rate."}, []table.Column[rows.OutsideStorm]{
		table.SeasonColumn(func(r rows.OutsideStorm) string { return r.Season }),
		table.MaterialColumn(func(r rows.OutsideStorm) (class, form string) { return r.MaterialClass, r.Form }),
		table.Counts("Treating passes", "", func(r rows.OutsideStorm) *int64 { return r.TreatingPasses }),
		table.Counts("Unmeasured", "passes", func(r rows.OutsideStorm) *int64 { return r.UnmeasuredPasses }),
		table.Counts("Plow passes", "", func(r rows.OutsideStorm) *int64 { return r.PlowPasses }),
		table.Numbers(b, "Treated", "lane-miles", format.LaneLength, func(r rows.OutsideStorm) *float64 { return r.TreatedLaneMiles }),
		table.Numbers(b, "Applied", "lb", format.Mass, func(r rows.OutsideStorm) *float64 { return r.AppliedLb }),
	}, b.OutsideByRoute[routeID])
	tables := []table.Table{shown}
	if passes := outsidePassTable(b, routeID); len(passes.Rows) > 0 {
		tables = append(tables, passes)
	}
	return table.Section{ID: "outside", Title: "Outside storms", Tables: tables}
}

// routesOwn fills a table of a route's page, the latest storm first: storm and material head its rows.
func routesOwn(b *book.Book, shown table.Table, columns []table.Column[rows.StormRoute], list []rows.StormRoute) table.Table {
	isOpen := func(r rows.StormRoute) bool { return b.StormOf(r).IsOpen }
	heads := []table.Column[rows.StormRoute]{table.Cells("Storm",
		func(r rows.StormRoute) table.Cell { return table.StormCell(b, "../", r.StormID, isOpen(r)) }).Safe(),
		table.MaterialColumn(materialOf)}
	shown.Download, shown.Empty = "storm_routes.csv", "No pass was reported in a storm."
	return table.Filled(b, shown, append(heads, columns...), book.LatestFirst(list), table.Marked("open", isOpen))
}
