package site

import (
	"cmp"
	"slices"
	"time"
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
	type row struct {
		event
		classPair
	}
	var rows []row
	for _, e := range slices.Backward(events) {
		rows = append(rows, row{e, classPair{b.stormTally(season, e.ID, b.compareClass()), b.stormTally(season, e.ID, b.besideClass())}})
	}
	columns := []Column[row]{
		stormColumn(b, "", func(r row) string { return r.ID }),
		beganColumn(b, func(r row) (*time.Time, bool) { return &r.BeganAt, r.IsOpen }),
		numbers(b, "Length", "h", tenths, func(r row) *float64 { return r.length() }),
		words("Kind", func(r row) string { return r.kind() }).picked(),
		numbers(b, "Water", "in", water, func(r row) *float64 { return r.water() }),
		numbers(b, "Severity", "highest zone", hundredths, func(r row) *float64 { return r.severity() }),
		numbers(b, "Mean air", "°F", temperature, func(r row) *float64 { return r.airFMean() }),
		numbers(b, "Lowest pavement", "°F", temperature, func(r row) *float64 { return r.surfaceFMin() })}
	both := at(func(r row) classPair { return r.classPair }, slices.Concat(b.pairRates(), b.pairStates(), b.pairApplications()))
	table := filled(b, Table{ID: "storms-" + FileName(season), Caption: "Storms of " + season + ", the latest first",
		Download: "storms.csv", Note: flurriesSentence(b.flurries(season))}, append(columns, both...), rows,
		marked("open", func(r row) bool { return r.IsOpen }))
	for i, r := range rows {
		table.Rows[i].IsMinor = b.isMinor(r.event)
	}
	return table
}

// beganColumn is when a storm began, and that it is open.
func beganColumn[T any](b *book, get func(T) (at *time.Time, isOpen bool)) Column[T] {
	return moments(b, "Began", func(row T) *time.Time { at, _ := get(row); return at }).showing(func(row T) string {
		at, isOpen := get(row)
		if isOpen {
			return b.clock.moment(*at) + ", open"
		}
		return b.clock.moment(*at)
	})
}

// roadState is the hours to bare lane, with the number of routes that were not reported bare.
func roadState(t Tally) string {
	if t.NotBare == 0 {
		return hours(t.regainH())
	}
	return hours(t.regainH()) + " (" + whole(t.NotBare) + noBreak + "not" + noBreak + "bare)"
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
	ac, cl := b.stormTally(e.Season, e.ID, b.compareClass()), b.stormTally(e.Season, e.ID, b.besideClass())
	p := page{Title: "Storm " + e.ID, Nav: "storms", Root: "../",
		Lead: stormSentence(b.units, e.ID, e.IsOpen, e.length(), len(e.Zones), ac, cl, plowOnlyRoutes(b.rowsByStorm[e.ID]), b.through())}
	text := b.leadCorrected(&p, ac, cl)
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
	ac, cl, rows := b.zoneTally(zone, b.compareClass()), b.zoneTally(zone, b.besideClass()), b.rowsInZone(zone)
	p := page{Title: "Storm " + zone.StormID + ", " + b.namedZone(zone.ZoneID), Nav: "storms", Root: "../",
		Lead: zoneStormSentence(b.units, zone.StormID, b.zoneName(zone.ZoneID), zone.IsOpen, zone.Hours, ac, cl, plowOnlyRoutes(rows), b.through())}
	text := b.leadCorrected(&p, ac, cl)
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
	zoneName := func(s Storm) Cell {
		if e.isWide() {
			return link(b.zoneName(s.ZoneID), "../"+stormZoneFile(s))
		}
		return Cell{Text: b.zoneName(s.ZoneID)}
	}
	ended := func(s Storm) string {
		if s.IsOpen {
			return "open at " + b.clock.moment(s.EndedAt)
		}
		return b.clock.moment(s.EndedAt)
	}
	return filled(b, Table{ID: "zones-table", Caption: "The storm in each zone", Download: "storms.csv"}, []Column[Storm]{
		cells("Zone", zoneName).picked(),
		b.zoneBegan(), moments(b, "Ended", func(s Storm) *time.Time { return &s.EndedAt }).showing(ended),
		numbers(b, "Length", "h", tenths, func(s Storm) *float64 { return s.Hours }),
		kindColumn(), b.waterColumn(), b.meanAir(),
		numbers(b, "Lowest air", "°F", temperature, func(s Storm) *float64 { return s.AirFMin }),
		b.lowestPavement(), b.mostWind(),
		numbers(b, "Snow", "h", tenths, func(s Storm) *float64 { return s.SnowH }), b.freezingRain(),
		numbers(b, "Sleet", "h", tenths, func(s Storm) *float64 { return s.SleetH }),
		b.severityColumn(), numbers(b, "Severity", "the storm alone", hundredths, func(s Storm) *float64 { return s.SeverityOnly }),
		words("Declared", func(s Storm) string { return yesNo(s.IsDeclared) }),
	}, e.Zones, marked("open", func(s Storm) bool { return s.IsOpen }))
}

// The weather of a storm in a zone, column by column.
func (b *book) zoneBegan() Column[Storm] {
	return moments(b, "Began", func(s Storm) *time.Time { return &s.BeganAt })
}
func kindColumn() Column[Storm] {
	return words("Kind", func(s Storm) string { return cmp.Or(s.Kind, missing) }).picked()
}
func (b *book) waterColumn() Column[Storm] {
	return numbers(b, "Water", "in", water, func(s Storm) *float64 { return s.PrecipIn })
}
func (b *book) meanAir() Column[Storm] {
	return numbers(b, "Mean air", "°F", temperature, func(s Storm) *float64 { return s.AirFMean })
}
func (b *book) mostWind() Column[Storm] {
	return numbers(b, "Most wind", "mph", speed, func(s Storm) *float64 { return s.WindMphMax })
}
func (b *book) lowestPavement() Column[Storm] {
	return numbers(b, "Lowest pavement", "°F", temperature, func(s Storm) *float64 { return s.SurfaceFMin })
}
func (b *book) freezingRain() Column[Storm] {
	return numbers(b, "Freezing rain", "h", tenths, func(s Storm) *float64 { return s.FreezingH })
}
func (b *book) severityColumn() Column[Storm] {
	return numbers(b, "Severity", "0 to 1", hundredths, func(s Storm) *float64 { return s.Severity })
}
func (b *book) airColumns() []Column[Storm] { return []Column[Storm]{b.meanAir(), b.lowestPavement()} }

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
	storm := func(StormRoute) Storm { return zone }
	return filled(b, Table{ID: "routes-" + id, Caption: "What the routes of " + b.namedZone(zone.ZoneID) + " got in storm " + zone.StormID,
		Download: "storm_routes.csv",
		Empty:    "No pass was reported on this zone's routes."}, slices.Concat(b.routeHeads(), b.routeStormColumns(storm)), rows,
		partedBy(routeOf))
}

// workInStorm says how the same routes were worked.
func (b *book) workInStorm(id string, zone Storm, rows []StormRoute) Table {
	return filled(b, Table{ID: "work-" + id,
		Caption: "How the routes of " + b.namedZone(zone.ZoneID) + " were worked in storm " + zone.StormID, Download: "storm_routes.csv"},
		slices.Concat(b.routeHeads(), b.workColumns()), rows, partedBy(routeOf))
}

// materialCell names class and form; a row without a class is a route that was only plowed.
func materialCell(class, form string) Cell {
	if class == "" {
		return Cell{Text: "plowed only"}
	}
	return Cell{Text: class + ", " + form, Class: class}
}

// routeStormColumns are what a route got in a storm, with road state and temperature.
func (b *book) routeStormColumns(storm func(StormRoute) Storm) []Column[StormRoute] {
	return slices.Concat(bothBases(b, "Rate", "lb per lane-mile", massRate, rateOf,
		func(r StormRoute) *float64 { return corrected(r).CorrectedRate }),
		[]Column[StormRoute]{numbers(b, "Applications", "per route", hundredths, func(r StormRoute) *float64 { return r.Applications }),
			numbers(b, "Per storm", "lb per lane-mile of route", massRate, func(r StormRoute) *float64 { return r.StormLbPerLaneMi }),
			b.bareAfter()}, at(storm, b.airColumns()),
		bothBases(b, "Applied", "lb", mass, appliedTo, func(r StormRoute) *float64 { return corrected(r).CorrectedLb }),
		[]Column[StormRoute]{numbers(b, "Not placed", "lb", mass, func(r StormRoute) *float64 { return r.UnplacedLb }),
			numbers(b, "Prewet", "lb dry", mass, func(r StormRoute) *float64 { return r.PrewetLb }),
			numbers(b, "Chloride", "lb", mass, func(r StormRoute) *float64 { return r.ChlorideLb }),
			numbers(b, "Treated", "lane-miles", laneLength, func(r StormRoute) *float64 { return r.TreatedLaneMiles }),
			shares(b, "Covered", "%", func(r StormRoute) *float64 { return r.CoveredShare }),
			shares(b, "On cold pavement", "%", func(r StormRoute) *float64 { return r.ColdShare }),
			shares(b, "In wind", "%", func(r StormRoute) *float64 { return r.WindShare })})
}

// workColumns are how a route was worked in a storm, by which crews last.
func (b *book) workColumns() []Column[StormRoute] {
	return []Column[StormRoute]{
		numbers(b, "Route", "lane-miles", laneLength, func(r StormRoute) *float64 { return r.RouteLaneMiles }),
		numbers(b, "Measured", "lane-miles", laneLength, func(r StormRoute) *float64 { return r.MeasuredLaneMiles }),
		counts("Rounds", "", func(r StormRoute) *int64 { return r.Rounds }),
		numbers(b, "Between rounds", "h, median", tenths, func(r StormRoute) *float64 { return r.MedianRoundGapH }),
		counts("Treating passes", "", func(r StormRoute) *int64 { return r.TreatingPasses }),
		counts("Unmeasured", "passes", func(r StormRoute) *int64 { return r.UnmeasuredPasses }),
		counts("Plow passes", "", func(r StormRoute) *int64 { return r.PlowPasses }),
		moments(b, "First application", func(r StormRoute) *time.Time { return r.FirstApplicationAt }).safe(),
		numbers(b, "After the storm's begin", "min", ones, func(r StormRoute) *float64 { return r.OnsetLagMin }),
		numbers(b, "Cost", "USD", ones, func(r StormRoute) *float64 { return r.CostUsd }),
		prose("Crews", func(r StormRoute) string { return b.crewNames(r.CrewIDs) }).ofCrews()}
}

func routeOf(r StormRoute) string { return r.RouteID }

// routeHeads head a row of storm_routes on a storm's page.
func (b *book) routeHeads() []Column[StormRoute] {
	return []Column[StormRoute]{routeColumn(b, "../", routeOf), materialColumn(materialOf)}
}

func materialOf(r StormRoute) (class, form string) { return r.MaterialClass, r.Form }

func rateOf(r StormRoute) *float64    { return r.RateLbPerLaneMi }
func appliedTo(r StormRoute) *float64 { return r.AppliedLb }

// corrected is a row by weighed loads; empty where nothing was weighed.
func corrected(r StormRoute) StormRouteCorrected {
	if r.Corrected == nil {
		return StormRouteCorrected{}
	}
	return *r.Corrected
}

// bareAfter is when a route's lanes were bare, or in which state they were left.
func (b *book) bareAfter() Column[StormRoute] {
	return numbers(b, "Bare lane after", "h", tenths, func(r StormRoute) *float64 { return r.RegainH }).showing(regain)
}
