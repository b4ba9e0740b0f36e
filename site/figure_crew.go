package site

import (
	"html/template"
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

// smallMultiple draws the rates of one route in the storms named, oldest at the left, on a scale up to high, and the orders that
// took effect among them. Storms without a rate leave a gap.
func (b *book) smallMultiple(label string, storms []string, rows []CrewStorm, high float64, orders []placedOrder) template.HTML {
	d := &drawing{width: smallWidth, height: smallHeight, label: label}
	s, ticks := roundScale(0, b.value(massRate, high), 3, smallTop, smallBottom)
	for _, v := range ticks {
		d.line("rule", smallLeft, s.y(v), smallRight, s.y(v))
		d.text("tiny", "end", smallLeft-5, s.y(v)+3, tick(v))
	}
	step := (smallRight - smallLeft) / float64(max(len(storms), 1))
	for _, order := range marks(orders) {
		x := smallLeft + step*float64(order.at)
		d.line("orderline", x, smallTop, x, smallBottom)
		if order.at == 0 { // beside the scale: the name would lie on its top tick
			d.text("tiny halo", "start", x+3, smallTop-3, order.name)
			continue
		}
		d.text("tiny halo", "middle", x, smallTop-3, order.name)
	}
	byStorm := grouped(rows, func(r CrewStorm) string { return r.StormID })
	season := ""
	for i, id := range storms {
		x := smallLeft + step*(float64(i)+0.5)
		e := b.eventByID[id]
		if e != nil && e.Season != season {
			season = e.Season
			d.line("rule strongrule", x-step/2, smallTop, x-step/2, smallBottom+8)
			d.text("tiny", "start", x-step/2+3, smallBottom+18, season)
		}
		for _, row := range byStorm[id] {
			if row.Form == solid && row.RateLbPerLaneMi != nil {
				isOpen := e != nil && e.IsOpen
				d.mark(b.sign(row.MaterialClass), isOpen, x, s.y(b.value(massRate, *row.RateLbPerLaneMi)), 3,
					b.sprintf("%s: %s lb per lane-mile of %s", id, b.rate(row.RateLbPerLaneMi), row.MaterialClass))
			}
		}
	}
	return d.html()
}
