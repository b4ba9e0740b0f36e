package pages

import (
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
		Acetate, Chloride rows.Tally
	}
	var list []row
	for _, e := range slices.Backward(events) {
		list = append(list, row{e, b.StormTally(season, e.ID, b.CompareClass()), b.StormTally(season, e.ID, b.BesideClass())})
	}
	shown := table.Filled(b, table.Place{ID: "storms-" + format.FileName(season), Names: []any{season},
		Note: words.Say(b.Units, "flurries", flurries(b, season))}, list, table.Own[row]{
		"id":    func(r row) any { return table.StormCell(b, "", r.ID, false) },
		"began": func(r row) any { return began(b, r.BeganAt, r.IsOpen) }})
	for i, r := range list {
		shown.Rows[i].IsMinor = b.IsMinor(r.Event)
	}
	return shown
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
	return table.Filled(b, table.Place{ID: "zones-table"}, e.Zones, table.Own[rows.Storm]{
		"zone": func(s rows.Storm) any {
			if e.IsWide() {
				return table.Link(b.ZoneName(s.ZoneID), "../"+StormZoneFile(s))
			}
			return b.ZoneName(s.ZoneID)
		},
		"ended": func(s rows.Storm) any {
			if s.IsOpen {
				return table.Shown{Text: "open at " + b.Clock.Moment(s.EndedAt), By: s.EndedAt}
			}
			return s.EndedAt
		}})
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
	own := routeStorms(b)
	own["storm"] = func(rows.StormRoute) any { return zone }
	return table.Filled(b, table.Place{ID: "routes-" + id, Root: "../", Names: []any{b.NamedZone(zone.ZoneID), zone.StormID}}, list, own)
}

// workInStorm says how the same routes were worked.
func workInStorm(b *book.Book, id string, zone rows.Storm, list []rows.StormRoute) table.Table {
	return table.Filled(b, table.Place{ID: "work-" + id, Root: "../", Names: []any{b.NamedZone(zone.ZoneID), zone.StormID}}, list,
		routeStorms(b))
}

// began is when a storm began, and that it is open.
func began(b *book.Book, at time.Time, isOpen bool) table.Shown {
	if isOpen {
		return table.Shown{Text: b.Clock.Moment(at) + ", open", By: at}
	}
	return table.Shown{Text: b.Clock.Moment(at), By: at}
}

// routeStorms computes what stands beside a row of storm_routes.
func routeStorms(b *book.Book) table.Own[rows.StormRoute] {
	return table.Own[rows.StormRoute]{
		"storm": func(r rows.StormRoute) any { return b.StormOf(r) },
		"crews": func(r rows.StormRoute) any { return b.CrewNames(r.CrewIDs) }}
}
