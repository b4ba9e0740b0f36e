package draw

import (
	"html/template"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// Measures of one of a crew's small pictures, in pixels.
const (
	smallWidth  = 320.0
	smallHeight = 140.0
	smallLeft   = 40.0
	smallRight  = 310.0
	smallTop    = 14.0
	smallBottom = 118.0
)

// SmallMultiple draws the rates of one route in the storms named, oldest at the left, on a scale up to high, and the orders that
// took effect among them. Storms without a rate leave a gap.
func SmallMultiple(b *book.Book, label string, storms []string, list []rows.CrewStorm, high float64,
	orders []book.PlacedOrder) template.HTML {
	d := &Drawing{Width: smallWidth, Height: smallHeight, Label: label}
	s, ticks := RoundScale(0, b.Value(format.MassRate, high), 3, smallTop, smallBottom)
	for _, v := range ticks {
		d.Line("rule", smallLeft, s.Y(v), smallRight, s.Y(v))
		d.Text("tiny", "end", smallLeft-5, s.Y(v)+3, format.Tick(v))
	}
	step := (smallRight - smallLeft) / float64(max(len(storms), 1))
	for _, order := range book.Marks(orders) {
		x := smallLeft + step*float64(order.At)
		d.Line("orderline", x, smallTop, x, smallBottom)
		if order.At == 0 { // beside the scale: the name would lie on its top tick
			d.Text("tiny halo", "start", x+3, smallTop-3, order.Name)
			continue
		}
		d.Text("tiny halo", "middle", x, smallTop-3, order.Name)
	}
	byStorm := book.Grouped(list, func(r rows.CrewStorm) string { return r.StormID })
	season := ""
	for i, id := range storms {
		x := smallLeft + step*(float64(i)+0.5)
		e := b.EventByID[id]
		if e != nil && e.Season != season {
			season = e.Season
			d.Line("rule strongrule", x-step/2, smallTop, x-step/2, smallBottom+8)
			d.Text("tiny", "start", x-step/2+3, smallBottom+18, season)
		}
		for _, row := range byStorm[id] {
			if row.Form == rows.Solid && row.RateLbPerLaneMi != nil {
				isOpen := e != nil && e.IsOpen
				d.Mark(b.Sign(row.MaterialClass), isOpen, x, s.Y(b.Value(format.MassRate, *row.RateLbPerLaneMi)), 3,
					b.Sprintf("%s: %s lb per lane-mile of %s", id, b.Rate(row.RateLbPerLaneMi), row.MaterialClass))
			}
		}
	}
	return d.Html()
}
