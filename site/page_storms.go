package site

import (
	"cmp"
	"slices"
)

// stormsPage lists the storms of all seasons, the latest first.
func (b *book) stormsPage() page {
	p := page{Title: "Storms", Nav: "storms", Lead: stormsSentence(len(b.events), openCount(b.events), b.seasonsWithStorms(), b.through())}
	for _, season := range slices.Backward(b.seasons) {
		events := b.eventsOf(season)
		if len(events) == 0 {
			continue
		}
		s := b.stripSection(events, "")
		s.ID, s.Title, s.Links = "season-"+FileName(season), "Season "+season, []Cell{link("Season page", b.seasonFile(season))}
		s.Tables = []Table{b.stormsTable(season, events)}
		p.Sections = append(p.Sections, s)
	}
	return p
}

func (b *book) seasonsWithStorms() int {
	n := 0
	for _, season := range b.seasons {
		if len(b.eventsOf(season)) > 0 {
			n++
		}
	}
	return n
}

func (b *book) stormsTable(season string, events []event) Table {
	table := Table{ID: "storms-" + FileName(season), Caption: "Storms of " + season + ", the latest first", Download: "storms.csv", Note: flurriesSentence(b.flurries(season)),
		Columns: []Column{words("Storm"), words("Began"), figures("Length", "h"), words("Kind"), figures("Water", "in"), figures("Severity", "highest zone"), figures("Mean air", "°F"), figures("Lowest pavement", "°F"),
			figures("Acetate rate", "lb per lane-mile"), figures("Chloride rate", "lb per lane-mile"), figures("Acetate bare after", "h"), figures("Chloride bare after", "h"),
			figures("Acetate applications", "per route"), figures("Chloride applications", "per route")}}
	for _, e := range slices.Backward(events) {
		ac, cl := b.countStorms([]string{e.ID}, acetate), b.countStorms([]string{e.ID}, chloride)
		row := Row{IsMinor: b.isMinor(e), Cells: append([]Cell{link(e.ID, b.stormHref("", e.ID))}, cells(b.clock.moment(e.BeganAt), hours(e.length()), e.kind(), b.inches(e.water()), fixed(e.severity(), 2), b.degrees(e.airFMean()),
			b.degrees(e.surfaceFMin()), b.rate(ac.rate()), b.rate(cl.rate()), roadState(ac), roadState(cl), applications(ac.applications()), applications(cl.applications()))...)}
		if e.IsOpen {
			row.Mark = "open"
			row.Cells[1].Text += ", open"
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}

// roadState is the hours to bare lane, with the number of routes that were not reported bare.
func roadState(t *tally) string {
	if t.notBare == 0 {
		return hours(t.regainH())
	}
	return hours(t.regainH()) + " (" + whole(t.notBare) + noBreak + "not" + noBreak + "bare)"
}

func (b *book) flurries(season string) int64 {
	n := int64(0)
	for _, f := range b.data.Flurries {
		if f.Season == season && f.Flurries != nil {
			n += *f.Flurries
		}
	}
	return n
}

// stormPage shows one storm: zone by zone its weather with the passes beneath, and a table of every route.
func (b *book) stormPage(e event) page {
	ac, cl := b.countStorms([]string{e.ID}, acetate), b.countStorms([]string{e.ID}, chloride)
	p := page{Title: "Storm " + e.ID, Nav: "storms", Root: "../",
		Lead: stormSentence(b.units, e.ID, e.IsOpen, e.length(), len(e.Zones), *ac, *cl, plowOnlyRoutes(b.rowsByStorm[e.ID]), b.through())}
	text := b.leadCorrected(&p, *ac, *cl)
	if e.isWide() {
		text = append(text, "Each zone's picture, routes and remarks are on its own page: follow the zone's name.")
	}
	p.Sections = append(p.Sections, Section{ID: "zones", Title: "Weather by zone", Text: text, Tables: []Table{b.zonesTable(e)}, Links: b.neighbours(e)})
	if !e.isWide() {
		for _, zone := range e.Zones {
			p.Sections = append(p.Sections, b.zoneSection(zone))
		}
	}
	p.Sections = append(p.Sections, b.likeSection(e), b.stormReasonsSection(e.ID))
	return p
}

// mostZonesOnPage is how many zones a storm's page shows itself. Those of a wider storm have a page each, so that the page of a state's storm opens
// on a phone.
const mostZonesOnPage = 8

func (e event) isWide() bool { return len(e.Zones) > mostZonesOnPage }

func stormZoneFile(zone Storm) string {
	return "storms/" + FileName(zone.StormID) + "-zone-" + FileName(zone.ZoneID) + ".html"
}

// stormZonePage shows one zone of a wide storm.
func (b *book) stormZonePage(zone Storm) page {
	ids := []string{zone.StormID}
	of := func(class string) *tally {
		return b.countSolids(ids, func(row StormRoute) bool { return row.ZoneID == zone.ZoneID && row.MaterialClass == class })
	}
	ac, cl, rows := of(acetate), of(chloride), b.rowsInZone(zone)
	p := page{Title: "Storm " + zone.StormID + ", " + b.namedZone(zone.ZoneID), Nav: "storms", Root: "../",
		Lead: zoneStormSentence(b.units, zone.StormID, b.zoneName(zone.ZoneID), zone.IsOpen, zone.Hours, *ac, *cl, plowOnlyRoutes(rows), b.through())}
	text := b.leadCorrected(&p, *ac, *cl)
	s := b.zoneSection(zone)
	s.Text = append(text, s.Text...)
	s.Links = []Cell{link("Storm "+zone.StormID+" in all zones", b.stormHref("../", zone.StormID))}
	p.Sections = []Section{s}
	return p
}

func (b *book) rowsInZone(zone Storm) []StormRoute {
	return slices.DeleteFunc(slices.Clone(b.rowsByStorm[zone.StormID]), func(r StormRoute) bool { return r.ZoneID != zone.ZoneID })
}

// plowOnlyRoutes counts the rows of routes that were only plowed.
func plowOnlyRoutes(rows []StormRoute) int {
	n := 0
	for _, row := range rows {
		if row.MaterialClass == "" {
			n++
		}
	}
	return n
}

func (b *book) neighbours(e event) []Cell {
	i := slices.IndexFunc(b.events, func(other event) bool { return other.ID == e.ID })
	var links []Cell
	if i > 0 {
		links = append(links, link("Storm before: "+b.events[i-1].ID, b.stormHref("../", b.events[i-1].ID)))
	}
	if i+1 < len(b.events) {
		links = append(links, link("Storm after: "+b.events[i+1].ID, b.stormHref("../", b.events[i+1].ID)))
	}
	return append(links, link("Season "+e.Season, "../"+b.seasonFile(e.Season)), link("Sheet for printing", "../"+stormSheetFile(e.ID)))
}

func (b *book) zonesTable(e event) Table {
	table := Table{ID: "zones-table", Caption: "The storm in each zone", Download: "storms.csv",
		Columns: []Column{words("Zone"), words("Began"), words("Ended"), figures("Length", "h"), words("Kind"), figures("Water", "in"), figures("Mean air", "°F"), figures("Lowest air", "°F"),
			figures("Lowest pavement", "°F"), figures("Most wind", "mph"), figures("Snow", "h"), figures("Freezing rain", "h"), figures("Sleet", "h"), figures("Severity", "0 to 1"), figures("Severity", "the storm alone"), words("Declared")}}
	for _, zone := range e.Zones {
		row := Row{Cells: cells(b.zoneName(zone.ZoneID), b.clock.moment(zone.BeganAt), b.clock.moment(zone.EndedAt), hours(zone.Hours), cmp.Or(zone.Kind, missing), b.inches(zone.PrecipIn),
			b.degrees(zone.AirFMean), b.degrees(zone.AirFMin), b.degrees(zone.SurfaceFMin), b.mph(zone.WindMphMax), hours(zone.SnowH), hours(zone.FreezingH), hours(zone.SleetH), fixed(zone.Severity, 2), fixed(zone.SeverityOnly, 2), yesNo(zone.IsDeclared))}
		if e.isWide() {
			row.Cells[0].Href = "../" + stormZoneFile(zone)
		}
		if zone.IsOpen {
			row.Mark = "open"
			row.Cells[2].Text = "open at " + row.Cells[2].Text
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}

func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}

func (b *book) zoneSection(zone Storm) Section {
	id := FileName(zone.ZoneID)
	s := Section{ID: "zone-" + id, Title: capital(b.namedZone(zone.ZoneID)), HasMarks: true, Picture: "storm-picture",
		Figures: []Figure{{Drawing: b.stormFigure(zone), IsWide: true,
			Caption: stormCaption(b.data.TimeZone)}}}
	rows := b.rowsInZone(zone)
	if severity, found := b.severities[stormZone{zone.StormID, zone.ZoneID}]; found {
		s.Text = []string{severitySentence(b.units, b.zoneName(zone.ZoneID), severity, zone.SurfaceFMin == nil)}
	}
	s.Tables = []Table{b.routesInStorm(id, zone, rows), b.workInStorm(id, zone, rows)}
	if remarks, found := b.remarksTable(id, zone); found {
		s.Tables = append(s.Tables, remarks)
	}
	return s
}

func (b *book) routesInStorm(id string, zone Storm, rows []StormRoute) Table {
	table := Table{ID: "routes-" + id, Caption: "What the routes of " + b.namedZone(zone.ZoneID) + " got in storm " + zone.StormID, Download: "storm_routes.csv",
		Columns: append([]Column{words("Route"), words("Material")}, b.routeStormColumns()...), Empty: "No pass was reported on this zone's routes."}
	for i, r := range rows {
		table.Rows = append(table.Rows, Row{Mark: partMark(rows, i), Cells: append([]Cell{link(b.routeShort(r.RouteID), b.routeHref("../", r.RouteID)), materialCell(r.MaterialClass, r.Form)}, b.routeStormCells(r, zone)...)})
	}
	return table
}

// workInStorm says how the same routes were worked.
func (b *book) workInStorm(id string, zone Storm, rows []StormRoute) Table {
	table := Table{ID: "work-" + id, Caption: "How the routes of " + b.namedZone(zone.ZoneID) + " were worked in storm " + zone.StormID, Download: "storm_routes.csv",
		Columns: append([]Column{words("Route"), words("Material")}, b.workColumns()...)}
	for i, r := range rows {
		table.Rows = append(table.Rows, Row{Mark: partMark(rows, i), Cells: append([]Cell{link(b.routeShort(r.RouteID), b.routeHref("../", r.RouteID)), materialCell(r.MaterialClass, r.Form)}, b.workCells(r)...)})
	}
	return table
}

// partMark draws a line above the first row of each route.
func partMark(rows []StormRoute, i int) string {
	if i == 0 || rows[i-1].RouteID != rows[i].RouteID {
		return "parted"
	}
	return ""
}

// materialCell names class and form; a row without a class is a route that was only plowed.
func materialCell(class, form string) Cell {
	if class == "" {
		return Cell{Text: "plowed only"}
	}
	return Cell{Text: class + ", " + form, Class: class}
}

// routeStormColumns are what a route got in a storm, with road state and temperature; routeStormCells fills them.
func (b *book) routeStormColumns() []Column {
	return slices.Concat(b.bothBases("Rate", "lb per lane-mile"), []Column{figures("Applications", "per route"), figures("Per storm", "lb per lane-mile of route"), figures("Bare lane after", "h"), figures("Mean air", "°F"),
		figures("Lowest pavement", "°F")}, b.bothBases("Applied", "lb"), []Column{figures("Not placed", "lb"), figures("Prewet", "lb dry"), figures("Chloride", "lb"), figures("Treated", "lane-miles"),
		figures("Covered", "%"), figures("On cold pavement", "%"), figures("In wind", "%")})
}

func (b *book) routeStormCells(r StormRoute, zone Storm) []Cell {
	var corrected StormRouteCorrected
	if r.Corrected != nil {
		corrected = *r.Corrected
	}
	return cells(slices.Concat(b.bothTexts(b.rate(r.RateLbPerLaneMi), b.rate(corrected.CorrectedRate)), []string{applications(r.Applications), b.rate(r.StormLbPerLaneMi), regain(r), b.degrees(zone.AirFMean),
		b.degrees(zone.SurfaceFMin)}, b.bothTexts(b.pounds(r.AppliedLb), b.pounds(corrected.CorrectedLb)), []string{b.pounds(r.UnplacedLb), b.pounds(r.PrewetLb), b.pounds(r.ChlorideLb), b.laneMiles(r.TreatedLaneMiles),
		percent(r.CoveredShare), percent(r.ColdShare), percent(r.WindShare)})...)
}

// workColumns are how a route was worked in a storm, by which crews last; workCells fills them.
func (b *book) workColumns() []Column {
	return withoutCrews(b, []Column{figures("Route", "lane-miles"), figures("Measured", "lane-miles"), figures("Rounds", ""), figures("Between rounds", "h, median"), figures("Treating passes", ""), figures("Unmeasured", "passes"),
		figures("Plow passes", ""), words("First application"), figures("After the storm's begin", "min"), figures("Cost", "USD"), prose("Crews")}, 10)
}

func (b *book) workCells(r StormRoute) []Cell {
	return withoutCrews(b, cells(b.laneMiles(r.RouteLaneMiles), b.laneMiles(r.MeasuredLaneMiles), count(r.Rounds), hours(r.MedianRoundGapH), count(r.TreatingPasses), count(r.UnmeasuredPasses),
		count(r.PlowPasses), b.clock.momentOf(r.FirstApplicationAt), minused(fixed(r.OnsetLagMin, 0)), dollars(r.CostUsd), b.crewNames(r.CrewIDs)), 10)
}
