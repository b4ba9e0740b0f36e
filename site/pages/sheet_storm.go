package pages

import (
	"cmp"
	"html/template"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// What fits on one printed page, Letter or A4.
const (
	sheetLines = 26 // rows of zones and routes together
	sheetName  = 26 // characters of a name
	sheetZones = 8  // zones in rows and in the picture
)

// StormSheetFile is where a storm's sheet for printing stands.
func StormSheetFile(stormID string) string {
	return "storms/" + format.FileName(stormID) + "-sheet.html"
}

// StormSheet is one storm on one printed page: weather, what each route got, and what like storms got.
func StormSheet(b *book.Book, e book.Event) table.Page {
	ac, cl := b.StormTally(e.Season, e.ID, b.CompareClass()), b.StormTally(e.Season, e.ID, b.BesideClass())
	p := table.Page{Title: "Storm " + e.ID, Nav: "storms", Root: "../", IsSheet: true,
		Lead: words.Say(b.Units, "storm", e.ID, e.IsOpen, e.Length(), format.Counted(len(e.Zones), "zone", "zones"), ac, cl,
			plowOnlyRoutes(b.RowsByStorm[e.ID]), b.Through())}
	zones := e.Zones[:min(len(e.Zones), sheetZones)]
	zoneName := func(s rows.Storm) string { return format.Shortened(b.ZoneName(s.ZoneID), sheetName) }
	weather := table.Filled(b, table.Place{ID: "sheet-zones", Note: words.Say(b.Units, "more zones", len(e.Zones)-len(zones))}, zones,
		table.Own[rows.Storm]{"name": func(s rows.Storm) any { return zoneName(s) }})
	var like []string
	if len(zones) <= 3 {
		for _, zone := range zones {
			like = append(like, words.LikeSentence(b.Units, zoneName(zone), b.WithTallies(zone), b.LikeStorms(zone)))
		}
	}
	p.Sections = []table.Section{{ID: "weather", Title: "Weather", Tables: []table.Table{weather},
		Links: []table.Cell{table.Link("The storm's page", "../storms/"+format.FileName(e.ID)+".html")}},
		{ID: "rates", Title: "What the routes got", HasMarks: true, Text: like, Picture: "sheet-dots",
			Figures: []table.Figure{{Drawing: sheetDots(b, e, zones)}}, Tables: []table.Table{sheetRoutes(b, e, sheetLines-len(zones))}}}
	return p
}

// sheetRoutes lists what the storm's routes got, by zone and route, as far as rows allow.
func sheetRoutes(b *book.Book, e book.Event, most int) table.Table {
	list := book.Sorted(b.RowsByStorm[e.ID], func(x, y rows.StormRoute) int {
		return cmp.Or(cmp.Compare(x.ZoneID, y.ZoneID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass),
			cmp.Compare(y.Form, x.Form))
	})
	own := routeStorms(b)
	own["name"] = func(r rows.StormRoute) any { return format.Shortened(b.RouteName(r.RouteID), sheetName) }
	place := table.Place{ID: "sheet-routes", Note: words.Say(b.Units, "more rows", len(list)-most)}
	return table.Filled(b, place, list[:min(len(list), most)], own)
}

// Measures of the picture of rates by zone, in pixels.
const (
	dotsWidth, dotsLeft, dotsRight = 700.0, 150.0, 690.0
	dotsTop, dotsStep              = 6.0, 22.0
)

// sheetDots draws each route's rate of solids as a mark, zone by zone, on one scale.
func sheetDots(b *book.Book, e book.Event, zones []rows.Storm) template.HTML {
	bottom := dotsTop + dotsStep*float64(len(zones))
	d := &draw.Drawing{Width: dotsWidth, Height: bottom + 34, Label: words.Say(b.Units, "dots label", e.ID)}
	high := 100.0
	for _, row := range b.RowsByStorm[e.ID] {
		if row.Form == rows.Solid {
			high = max(high, rows.OrZero(row.RateLbPerLaneMi))
		}
	}
	high = b.Value(format.MassRate, high)
	// The scale runs sideways: what it calls top and bottom are the right and the left end.
	s, ticks := draw.RoundScale(0, high, 5, dotsRight, dotsLeft)
	for _, v := range ticks {
		d.Line("rule", s.Y(v), dotsTop, s.Y(v), bottom)
		d.Text("tiny", "middle", s.Y(v), bottom+13, format.Tick(v))
	}
	d.Text("tiny", "end", dotsRight, bottom+27, b.UnitWords("rate of solids, lb per lane-mile"))
	for i, zone := range zones {
		y := dotsTop + dotsStep*(float64(i)+0.5)
		d.Text("small", "end", dotsLeft-8, y+4, format.Shortened(b.ZoneName(zone.ZoneID), 18))
		for _, row := range b.RowsByStorm[e.ID] {
			if row.ZoneID == zone.ZoneID && row.Form == rows.Solid && row.RateLbPerLaneMi != nil {
				d.Mark(b.Sign(row.MaterialClass), e.IsOpen, s.Y(b.Value(format.MassRate, *row.RateLbPerLaneMi)), y, 4, "")
			}
		}
	}
	return d.Html()
}
