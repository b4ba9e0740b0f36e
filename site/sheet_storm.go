package site

import (
	"cmp"
	"html/template"
	"time"
)

// What fits on one printed page, Letter or A4.
const (
	sheetLines = 26 // rows of zones and routes together
	sheetName  = 26 // characters of a name
	sheetZones = 8  // zones in rows and in the picture
)

// stormSheetFile is where a storm's sheet for printing stands.
func stormSheetFile(stormID string) string { return "storms/" + FileName(stormID) + "-sheet.html" }

// stormSheet is one storm on one printed page: weather, what each route got, and what like storms got.
func (b *book) stormSheet(e event) page {
	ac, cl := b.stormTally(e.Season, e.ID, b.compareClass()), b.stormTally(e.Season, e.ID, b.besideClass())
	p := page{Title: "Storm " + e.ID, Nav: "storms", Root: "../", IsSheet: true,
		Lead: stormSentence(b.units, e.ID, e.IsOpen, e.length(), len(e.Zones), ac, cl, plowOnlyRoutes(b.rowsByStorm[e.ID]), b.through())}
	zones := e.Zones[:min(len(e.Zones), sheetZones)]
	zoneName := func(s Storm) string { return shortened(b.zoneName(s.ZoneID), sheetName) }
	weather := filled(b, Table{ID: "sheet-zones", Caption: "Weather by zone", Note: moreZones(len(e.Zones) - len(zones))}, []Column[Storm]{
		words("Zone", zoneName), b.zoneBegan(), moments(b, "Ended", func(s Storm) *time.Time { return &s.EndedAt }), kindColumn(),
		b.waterColumn(),
		b.meanAir(), b.lowestPavement(), b.mostWind(), b.severityColumn()}, zones, marked("open", func(s Storm) bool { return s.IsOpen }))
	var like []string
	if len(zones) <= 3 {
		for _, zone := range zones {
			like = append(like, likeSentence(b.units, zoneName(zone), b.withTallies(zone), b.likeStorms(zone)))
		}
	}
	p.Sections = []Section{{ID: "weather", Title: "Weather", Tables: []Table{weather}, Links: []Cell{link("The storm's page", "../storms/"+FileName(e.ID)+".html")}},
		{ID: "rates", Title: "What the routes got", HasMarks: true, Text: like, Picture: "sheet-dots", Figures: []Figure{{Drawing: b.sheetDots(e, zones)}}, Tables: []Table{b.sheetRoutes(e, sheetLines-len(zones))}}}
	return p
}

// sheetRoutes lists what the storm's routes got, by zone and route, as far as rows allow.
func (b *book) sheetRoutes(e event, most int) Table {
	rows := sorted(b.rowsByStorm[e.ID], func(x, y StormRoute) int {
		return cmp.Or(cmp.Compare(x.ZoneID, y.ZoneID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	return filled(b, Table{ID: "sheet-routes", Caption: "Every route that was treated or plowed", Note: moreRows(len(rows) - most),
		Empty: "No pass was reported in this storm."}, append([]Column[StormRoute]{
		words("Route", func(r StormRoute) string { return shortened(b.routeName(r.RouteID), sheetName) }), materialColumn(materialOf),
		numbers(b, "Rate", "lb per lane-mile", massRate, rateOf),
		numbers(b, "Applications", "per route", hundredths, func(r StormRoute) *float64 { return r.Applications }),
		numbers(b, "Applied", "lb", mass, appliedTo), b.bareAfter()}, at(b.stormOf, b.airColumns())...), rows[:min(len(rows), most)])
}

// Measures of the picture of rates by zone, in pixels.
const (
	dotsWidth, dotsLeft, dotsRight = 700.0, 150.0, 690.0
	dotsTop, dotsStep              = 6.0, 22.0
)

// sheetDots draws each route's rate of solids as a mark, zone by zone, on one scale.
func (b *book) sheetDots(e event, zones []Storm) template.HTML {
	bottom := dotsTop + dotsStep*float64(len(zones))
	d := &drawing{width: dotsWidth, height: bottom + 34, label: dotsLabel(e.ID)}
	high := 100.0
	for _, row := range b.rowsByStorm[e.ID] {
		if row.Form == solid {
			high = max(high, orZero(row.RateLbPerLaneMi))
		}
	}
	high = b.value(massRate, high)
	// The scale runs sideways: what it calls top and bottom are the right and the left end.
	s, ticks := roundScale(0, high, 5, dotsRight, dotsLeft)
	for _, v := range ticks {
		d.line("rule", s.y(v), dotsTop, s.y(v), bottom)
		d.text("tiny", "middle", s.y(v), bottom+13, tick(v))
	}
	d.text("tiny", "end", dotsRight, bottom+27, b.unitWords("rate of solids, lb per lane-mile"))
	for i, zone := range zones {
		y := dotsTop + dotsStep*(float64(i)+0.5)
		d.text("small", "end", dotsLeft-8, y+4, shortened(b.zoneName(zone.ZoneID), 18))
		for _, row := range b.rowsByStorm[e.ID] {
			if row.ZoneID == zone.ZoneID && row.Form == solid && row.RateLbPerLaneMi != nil {
				d.mark(b.sign(row.MaterialClass), e.IsOpen, s.y(b.value(massRate, *row.RateLbPerLaneMi)), y, 4, "")
			}
		}
	}
	return d.html()
}
