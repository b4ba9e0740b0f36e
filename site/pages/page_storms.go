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

// StormsPage lists the storms of all seasons, the latest first.
func StormsPage(b *book.Book) table.Page {
	p := table.Page{Title: "Storms", Nav: "storms",
		Lead: words.Say(b.Units, "storms", len(b.Events), openCount(b.Events), seasonsWithStorms(b), b.Through())}
	for _, season := range slices.Backward(b.Seasons) {
		events := b.EventsOf(season)
		if len(events) == 0 {
			continue
		}
		s := stripSection(b, events, "")
		s.ID, s.Title, s.Links = "season-"+format.FileName(season), "Season "+
			season, []table.Cell{table.Link("Season page", b.SeasonFile(season))}
		s.Tables = []table.Table{stormsTable(b, season, events)}
		p.Sections = append(p.Sections, s)
	}
	return p
}

func seasonsWithStorms(b *book.Book) int {
	return book.CountOf(b.Seasons, func(season string) bool { return len(b.EventsOf(season)) > 0 })
}

func stormsTable(b *book.Book, season string, events []book.Event) table.Table {
	type row struct {
		book.Event
		classPair
	}
	var rows []row
	for _, e := range slices.Backward(events) {
		rows = append(rows, row{e, classPair{b.StormTally(season, e.ID, b.CompareClass()), b.StormTally(season, e.ID, b.BesideClass())}})
	}
	columns := []table.Column[row]{
		table.StormColumn(b, "", func(r row) string { return r.ID }),
		beganColumn(b, func(r row) (*time.Time, bool) { return &r.BeganAt, r.IsOpen }),
		table.Numbers(b, "Length", "h", table.Tenths, func(r row) *float64 { return r.Length() }),
		table.Words("Kind", func(r row) string { return r.Kind() }).Picked(),
		table.Numbers(b, "Water", "in", format.Water, func(r row) *float64 { return r.Water() }),
		table.Numbers(b, "Severity", "highest zone", table.Hundredths, func(r row) *float64 { return r.Severity() }),
		table.Numbers(b, "Mean air", "°F", format.Temperature, func(r row) *float64 { return r.AirFMean() }),
		table.Numbers(b, "Lowest pavement", "°F", format.Temperature, func(r row) *float64 { return r.SurfaceFMin() })}
	both := table.At(func(r row) classPair { return r.classPair }, slices.Concat(pairRates(b), pairStates(b), pairApplications(b)))
	table := table.Filled(b, table.Table{ID: "storms-" + format.FileName(season), Caption: "Storms of " + season + ", the latest first",
		Download: "storms.csv", Note: words.Say(b.Units, "flurries", flurries(b, season))}, append(columns, both...), rows,
		table.Marked("open", func(r row) bool { return r.IsOpen }))
	for i, r := range rows {
		table.Rows[i].IsMinor = b.IsMinor(r.Event)
	}
	return table
}

// beganColumn is when a storm began, and that it is open.
func beganColumn[T any](b *book.Book, get func(T) (at *time.Time, isOpen bool)) table.Column[T] {
	return table.Moments(b, "Began", func(row T) *time.Time { at, _ := get(row); return at }).Showing(func(row T) string {
		at, isOpen := get(row)
		if isOpen {
			return b.Clock.Moment(*at) + ", open"
		}
		return b.Clock.Moment(*at)
	})
}

// roadState is the hours to bare lane, with the number of routes that were not bare within the cap.
func roadState(t rows.Tally) string {
	if t.NotBare == 0 {
		return format.Hours(t.RegainH)
	}
	return format.Hours(t.RegainH) + " (" + format.Whole(t.NotBare) + format.NoBreak + "not" + format.NoBreak + "bare)"
}

func flurries(b *book.Book, season string) int64 {
	n := int64(0)
	for _, f := range b.Data.Flurries {
		if f.Season == season && f.Flurries != nil {
			n += *f.Flurries
		}
	}
	return n
}

// StormPage shows one storm: zone by zone its weather with the passes beneath, and a table of every route.
func StormPage(b *book.Book, e book.Event) table.Page {
	ac, cl := b.StormTally(e.Season, e.ID, b.CompareClass()), b.StormTally(e.Season, e.ID, b.BesideClass())
	p := table.Page{Title: "Storm " + e.ID, Nav: "storms", Root: "../",
		Lead: words.Say(b.Units, "storm", e.ID, e.IsOpen, e.Length(), format.Counted(len(e.Zones), "zone", "zones"), ac, cl,
			plowOnlyRoutes(b.RowsByStorm[e.ID]), b.Through())}
	text := leadCorrected(b, &p, ac, cl)
	if e.IsWide() {
		text = append(text, "Each zone's picture, routes and remarks are on its own page: follow the zone's name.")
	}
	p.Sections = append(p.Sections, table.Section{ID: "zones", Title: "Weather by zone", Text: text,
		Tables: []table.Table{zonesTable(b, e)}, Links: neighbours(b, e)})
	if !e.IsWide() {
		for _, zone := range e.Zones {
			p.Sections = append(p.Sections, zoneSection(b, zone))
		}
	}
	p.Sections = append(p.Sections, LikeSection(b, e), stormReasonsSection(b, e.ID))
	return p
}

// StormZoneFile is where the page of a storm in one zone stands.
func StormZoneFile(zone rows.Storm) string {
	return "storms/" + format.FileName(zone.StormID) + "-zone-" + format.FileName(zone.ZoneID) + ".html"
}

// StormZonePage shows one zone of a wide storm.
func StormZonePage(b *book.Book, zone rows.Storm) table.Page {
	ac, cl, rows := b.ZoneTally(zone, b.CompareClass()), b.ZoneTally(zone, b.BesideClass()), b.RowsInZone(zone)
	p := table.Page{Title: "Storm " + zone.StormID + ", " + b.NamedZone(zone.ZoneID), Nav: "storms", Root: "../",
		Lead: words.Say(b.Units, "storm", zone.StormID, zone.IsOpen, zone.Hours, b.NamedZone(zone.ZoneID), ac, cl,
			plowOnlyRoutes(rows), b.Through())}
	text := leadCorrected(b, &p, ac, cl)
	s := zoneSection(b, zone)
	s.Text = append(text, s.Text...)
	s.Links = []table.Cell{table.Link("Storm "+zone.StormID+" in all zones", b.StormHref("../", zone.StormID))}
	p.Sections = []table.Section{s}
	return p
}

// plowOnlyRoutes counts the rows of routes that were only plowed.
func plowOnlyRoutes(list []rows.StormRoute) int {
	return book.CountOf(list, func(r rows.StormRoute) bool { return r.MaterialClass == "" })
}

func neighbours(b *book.Book, e book.Event) []table.Cell {
	i := slices.IndexFunc(b.Events, func(other book.Event) bool { return other.ID == e.ID })
	var links []table.Cell
	if i > 0 {
		links = append(links, table.Link("Storm before: "+b.Events[i-1].ID, b.StormHref("../", b.Events[i-1].ID)))
	}
	if i+1 < len(b.Events) {
		links = append(links, table.Link("Storm after: "+b.Events[i+1].ID, b.StormHref("../", b.Events[i+1].ID)))
	}
	return append(links, table.Link("Season "+e.Season, "../"+b.SeasonFile(e.Season)),
		table.Link("Sheet for printing", "../"+StormSheetFile(e.ID)))
}

func zonesTable(b *book.Book, e book.Event) table.Table {
	zoneName := func(s rows.Storm) table.Cell {
		if e.IsWide() {
			return table.Link(b.ZoneName(s.ZoneID), "../"+StormZoneFile(s))
		}
		return table.Cell{Text: b.ZoneName(s.ZoneID)}
	}
	ended := func(s rows.Storm) string {
		if s.IsOpen {
			return "open at " + b.Clock.Moment(s.EndedAt)
		}
		return b.Clock.Moment(s.EndedAt)
	}
	return table.Filled(b, table.Table{ID: "zones-table", Caption: "The storm in each zone", Download: "storms.csv"},
		[]table.Column[rows.Storm]{
			table.Cells("Zone", zoneName).Picked(),
			zoneBegan(b), table.Moments(b, "Ended", func(s rows.Storm) *time.Time { return &s.EndedAt }).Showing(ended),
			table.Numbers(b, "Length", "h", table.Tenths, func(s rows.Storm) *float64 { return s.Hours }),
			kindColumn(), waterColumn(b), meanAir(b),
			table.Numbers(b, "Lowest air", "°F", format.Temperature, func(s rows.Storm) *float64 { return s.AirFMin }),
			lowestPavement(b), mostWind(b),
			table.Numbers(b, "Snow", "h", table.Tenths, func(s rows.Storm) *float64 { return s.SnowH }), freezingRain(b),
			table.Numbers(b, "Sleet", "h", table.Tenths, func(s rows.Storm) *float64 { return s.SleetH }),
			severityColumn(b), table.Numbers(b, "Severity", "the storm alone", table.Hundredths,
				func(s rows.Storm) *float64 { return s.SeverityOnly }),
			table.Words("Declared", func(s rows.Storm) string { return format.YesNo(s.IsDeclared) }),
		}, e.Zones, table.Marked("open", func(s rows.Storm) bool { return s.IsOpen }))
}

// The weather of a storm in a zone, column by column.
func zoneBegan(b *book.Book) table.Column[rows.Storm] {
	return table.Moments(b, "Began", func(s rows.Storm) *time.Time { return &s.BeganAt })
}
func kindColumn() table.Column[rows.Storm] {
	return table.Words("Kind", func(s rows.Storm) string { return cmp.Or(s.Kind, format.Missing) }).Picked()
}
func waterColumn(b *book.Book) table.Column[rows.Storm] {
	return table.Numbers(b, "Water", "in", format.Water, func(s rows.Storm) *float64 { return s.PrecipIn })
}
func meanAir(b *book.Book) table.Column[rows.Storm] {
	return table.Numbers(b, "Mean air", "°F", format.Temperature, func(s rows.Storm) *float64 { return s.AirFMean })
}
func mostWind(b *book.Book) table.Column[rows.Storm] {
	return table.Numbers(b, "Most wind", "mph", format.Speed, func(s rows.Storm) *float64 { return s.WindMphMax })
}
func lowestPavement(b *book.Book) table.Column[rows.Storm] {
	return table.Numbers(b, "Lowest pavement", "°F", format.Temperature, func(s rows.Storm) *float64 { return s.SurfaceFMin })
}
func freezingRain(b *book.Book) table.Column[rows.Storm] {
	return table.Numbers(b, "Freezing rain", "h", table.Tenths, func(s rows.Storm) *float64 { return s.FreezingH })
}
func severityColumn(b *book.Book) table.Column[rows.Storm] {
	return table.Numbers(b, "Severity", "0 to 1", table.Hundredths, func(s rows.Storm) *float64 { return s.Severity })
}
func airColumns(b *book.Book) []table.Column[rows.Storm] {
	return []table.Column[rows.Storm]{meanAir(b), lowestPavement(b)}
}

func zoneSection(b *book.Book, zone rows.Storm) table.Section {
	id := format.FileName(zone.ZoneID)
	s := table.Section{ID: "zone-" + id, Title: format.Capital(b.NamedZone(zone.ZoneID)), HasMarks: true, Picture: "storm-picture",
		Figures: []table.Figure{{Drawing: draw.StormFigure(b, zone), IsWide: true,
			Caption: words.Say(b.Units, "storm caption", b.Data.TimeZone)}}}
	rows := b.RowsInZone(zone)
	if severity, found := b.Severities[book.StormZone{StormID: zone.StormID, ZoneID: zone.ZoneID}]; found {
		s.Text = []string{words.SeveritySentence(b.Units, b.ZoneName(zone.ZoneID), severity, zone.SurfaceFMin == nil)}
	}
	s.Tables = []table.Table{routesInStorm(b, id, zone, rows), workInStorm(b, id, zone, rows)}
	if remarks, found := remarksTable(b, id, zone); found {
		s.Tables = append(s.Tables, remarks)
	}
	return s
}

func routesInStorm(b *book.Book, id string, zone rows.Storm, list []rows.StormRoute) table.Table {
	storm := func(rows.StormRoute) rows.Storm { return zone }
	return table.Filled(b, table.Table{ID: "routes-" + id,
		Caption:  "What the routes of " + b.NamedZone(zone.ZoneID) + " got in storm " + zone.StormID,
		Download: "storm_routes.csv",
		Empty:    "No pass was reported on this zone's routes."}, slices.Concat(routeHeads(b), routeStormColumns(b, storm)), list,
		table.PartedBy(routeOf))
}

// workInStorm says how the same routes were worked.
func workInStorm(b *book.Book, id string, zone rows.Storm, rows []rows.StormRoute) table.Table {
	return table.Filled(b, table.Table{ID: "work-" + id,
		Caption: "How the routes of " + b.NamedZone(zone.ZoneID) + " were worked in storm " + zone.StormID, Download: "storm_routes.csv"},
		slices.Concat(routeHeads(b), workColumns(b)), rows, table.PartedBy(routeOf))
}

// routeStormColumns are what a route got in a storm, with road state and temperature.
func routeStormColumns(b *book.Book, storm func(rows.StormRoute) rows.Storm) []table.Column[rows.StormRoute] {
	return slices.Concat(bothBases(b, "Rate", "lb per lane-mile", format.MassRate, rateOf,
		func(r rows.StormRoute) *float64 { return corrected(r).CorrectedRate }),
		[]table.Column[rows.StormRoute]{table.Numbers(b, "Applications", "per route", table.Hundredths,
			func(r rows.StormRoute) *float64 { return r.Applications }),
			table.Numbers(b, "Per storm", "lb per lane-mile of route", format.MassRate,
				func(r rows.StormRoute) *float64 { return r.StormLbPerLaneMi }),
			bareAfter(b)}, table.At(storm, airColumns(b)),
		bothBases(b, "Applied", "lb", format.Mass, appliedTo, func(r rows.StormRoute) *float64 { return corrected(r).CorrectedLb }),
		[]table.Column[rows.StormRoute]{table.Numbers(b, "Not placed", "lb", format.Mass,
			func(r rows.StormRoute) *float64 { return r.UnplacedLb }),
			table.Numbers(b, "Prewet", "lb dry", format.Mass, func(r rows.StormRoute) *float64 { return r.PrewetLb }),
			table.Numbers(b, "Chloride", "lb", format.Mass, func(r rows.StormRoute) *float64 { return r.ChlorideLb }),
			table.Numbers(b, "Treated", "lane-miles", format.LaneLength, func(r rows.StormRoute) *float64 { return r.TreatedLaneMiles }),
			table.Shares(b, "Covered", "%", func(r rows.StormRoute) *float64 { return r.CoveredShare }),
			table.Shares(b, "On cold pavement", "%", func(r rows.StormRoute) *float64 { return r.ColdShare }),
			table.Shares(b, "In wind", "%", func(r rows.StormRoute) *float64 { return r.WindShare })})
}

// workColumns are how a route was worked in a storm, by which crews last.
func workColumns(b *book.Book) []table.Column[rows.StormRoute] {
	return []table.Column[rows.StormRoute]{
		table.Numbers(b, "Route", "lane-miles", format.LaneLength, func(r rows.StormRoute) *float64 { return r.RouteLaneMiles }),
		table.Numbers(b, "Measured", "lane-miles", format.LaneLength, func(r rows.StormRoute) *float64 { return r.MeasuredLaneMiles }),
		table.Counts("Rounds", "", func(r rows.StormRoute) *int64 { return r.Rounds }),
		table.Numbers(b, "Between rounds", "h, median", table.Tenths, func(r rows.StormRoute) *float64 { return r.MedianRoundGapH }),
		table.Counts("Treating passes", "", func(r rows.StormRoute) *int64 { return r.TreatingPasses }),
		table.Counts("Unmeasured", "passes", func(r rows.StormRoute) *int64 { return r.UnmeasuredPasses }),
		table.Counts("Plow passes", "", func(r rows.StormRoute) *int64 { return r.PlowPasses }),
		table.Moments(b, "First application", func(r rows.StormRoute) *time.Time { return r.FirstApplicationAt }).Safe(),
		table.Numbers(b, "After the storm's begin", "min", table.Ones, func(r rows.StormRoute) *float64 { return r.OnsetLagMin }),
		table.Numbers(b, "Cost", "USD", table.Ones, func(r rows.StormRoute) *float64 { return r.CostUsd }),
		table.Prose("Crews", func(r rows.StormRoute) string { return b.CrewNames(r.CrewIDs) }).OfCrews()}
}

func routeOf(r rows.StormRoute) string { return r.RouteID }

// routeHeads head a row of storm_routes on a storm's page.
func routeHeads(b *book.Book) []table.Column[rows.StormRoute] {
	return []table.Column[rows.StormRoute]{table.RouteColumn(b, "../", routeOf), table.MaterialColumn(materialOf)}
}

func materialOf(r rows.StormRoute) (class, form string) { return r.MaterialClass, r.Form }

func rateOf(r rows.StormRoute) *float64    { return r.RateLbPerLaneMi }
func appliedTo(r rows.StormRoute) *float64 { return r.AppliedLb }

// corrected is a row by weighed loads; empty where nothing was weighed.
func corrected(r rows.StormRoute) rows.StormRouteCorrected {
	if r.Corrected == nil {
		return rows.StormRouteCorrected{}
	}
	return *r.Corrected
}

// bareAfter is when a route's lanes were bare, or in which state they were left.
func bareAfter(b *book.Book) table.Column[rows.StormRoute] {
	return table.Numbers(b, "Bare lane after", "h", table.Tenths,
		func(r rows.StormRoute) *float64 { return r.RegainH }).Showing(draw.Regain)
}
