package pages

import (
	"cmp"
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
	var list []rows.Tally
	of := map[string]int{} // routes by class
	for _, route := range b.RouteList {
		for _, row := range routeTotals(b, route.RouteID, season) {
			list = append(list, row)
			of[row.MaterialClass]++
		}
	}
	shown := table.Filled(b, table.Place{ID: "routes-table", Names: []any{season}}, list, table.Own[rows.Tally]{
		"material_class": solids,
		"route":          func(t rows.Tally) any { return b.Routes[t.RouteID] },
		"assigned":       func(t rows.Tally) any { class, _ := b.Assigned(t.RouteID); return cmp.Or(class, format.Missing) },
		"crew":           func(t rows.Tally) any { _, crewID := b.Assigned(t.RouteID); return crewCell(b, "", crewID) }})
	return table.Page{Title: "Routes", Nav: "routes",
		Lead: words.Say(b.Units, "routes", len(b.RouteList), of[b.CompareClass()], of[b.BesideClass()], season, b.Through()),
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
	p.Sections = append(p.Sections, course, coverageSection(b, route), PastSection(b, season, "route-seasons", route.RouteID),
		routeReasonsSection(b, route.RouteID),
		table.Section{ID: "work", Title: workTitle(b), Tables: []table.Table{stormsOfRoute(b, "route-work", rows)}},
		table.Section{ID: "assignments", Title: "What it is assigned", Tables: []table.Table{assignmentTable(b, route)}},
		outsideSection(b, route.RouteID))
	return p, nil
}

func routeCourse(b *book.Book, routeID string, list []rows.StormRoute) (table.Section, error) {
	c := draw.NewCourse(b.Units)
	var begins []time.Time
	for _, row := range list {
		storm, found := b.ZoneRow(row.StormID, row.ZoneID)
		if !found || row.Form != rows.Solid {
			continue
		}
		c.Add(row.StormID, b.Clock.Day(storm.BeganAt), storm.IsOpen, row.MaterialClass, row.RateLbPerLaneMi, row.CappedRegainH,
			storm.SurfaceFMin)
		if len(begins) < len(c.Storms) {
			begins = append(begins, b.EventByID[row.StormID].BeganAt)
		}
	}
	title := words.Say(b.Units, "rates title", len(c.Storms))
	s := table.Section{ID: "course", Title: title, Tables: []table.Table{stormsOfRoute(b, "route-storms", list)}}
	if len(c.Storms) == 0 {
		return s, nil
	}
	classes := b.ClassesOfRoute(routeID)
	placed := b.PlaceOrders(begins, func(o rows.Order) bool { return book.Concerns(o, routeID, classes) })
	c.Orders = book.Marks(placed)
	chart, err := draw.CourseChart("route-rates", "route-storms", title, words.Say(b.Units, "route course label", title, routeID), c)
	chart.Notes = words.Notes(placed)
	s.Chart = &chart
	return s, err
}

func workTitle(b *book.Book) string {
	if b.NamesCrews() {
		return "Crews and rounds"
	}
	return "Rounds"
}

func assignmentTable(b *book.Book, route rows.Route) table.Table {
	return table.Filled(b, table.Place{ID: "assignment-table"}, book.LatestFirst(b.AssignedByRoute[route.RouteID]),
		table.Own[rows.Assignment]{
			"to_date": func(a rows.Assignment) any {
				if a.ToDate == nil {
					return table.Shown{Text: "on", By: a.ToDate}
				}
				return a.ToDate
			},
			"crew": func(a rows.Assignment) any { return crewCell(b, "../", a.CrewID) }})
}

func outsideSection(b *book.Book, routeID string) table.Section {
	tables := []table.Table{table.Filled[rows.OutsideStorm](b, table.Place{ID: "outside-table"}, b.OutsideByRoute[routeID], nil)}
	if passes := outsidePassTable(b, routeID); len(passes.Rows) > 0 {
		tables = append(tables, passes)
	}
	return table.Section{ID: "outside", Title: "Outside storms", Tables: tables}
}

// stormsOfRoute fills a table of a route's page, the latest storm first.
func stormsOfRoute(b *book.Book, id string, list []rows.StormRoute) table.Table {
	own := routeStorms(b)
	own["is_open"] = func(r rows.StormRoute) any { return b.StormOf(r).IsOpen }
	own["storm_id"] = func(r rows.StormRoute) any { return table.StormCell(b, "../", r.StormID, b.StormOf(r).IsOpen) }
	return table.Filled(b, table.Place{ID: id}, book.LatestFirst(list), own)
}
