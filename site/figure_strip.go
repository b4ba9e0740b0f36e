package site

import (
	"html/template"
	"time"

	"lanetally/pipeline/rows"
)

// Measures of the strip of storms, in pixels.
const (
	stripWidth  = 960.0
	stripLeft   = 70.0
	stripRight  = 950.0
	stripTop    = 24.0
	stripBottom = 96.0
	coldTop     = 116.0
	coldBottom  = 166.0
)

// kindSigns are the letters that stand above the storms of the strip.
var kindSigns = map[string]string{"snow": "S", "freezing rain": "F", "sleet": "L", "mixed": "M", "unclassed": "U", "dry": "D"}

// strip draws a season's storms along its dates: how long each was (width), how much water fell (height; mean over
// zones), what it was (letter) and its lowest pavement temperature. Root leads from the page to the top folder.
func (b *book) strip(events []event) template.HTML {
	d := &drawing{width: stripWidth, height: coldBottom + 24,
		label: stripLabel(len(events))}
	axis := b.seasonSpan(events)
	b.drawMonths(d, axis)
	depth, ticks := roundScale(0, b.value(water, max(mostWater(events), 0.1)), 2, stripTop, stripBottom)
	for _, v := range ticks {
		d.line("rule", stripLeft, depth.y(v), stripRight, depth.y(v))
		d.text("small", "end", stripLeft-6, depth.y(v)+4, tick(v))
	}
	d.text("small", "start", 0, stripTop-10, "water, "+b.inch())
	low, high := coldest(events)
	freezing := b.value(temperature, rows.FreezingF)
	cold, _ := roundScale(b.value(temperature, min(low, rows.FreezingF-4)), b.value(temperature, max(high, rows.FreezingF)), 2, coldTop, coldBottom)
	d.text("small", "start", 0, coldTop+6, "lowest")
	d.text("small", "start", 0, coldTop+19, "pavement")
	d.line("freezing", stripLeft, cold.y(freezing), stripRight, cold.y(freezing))
	d.text("tiny", "start", stripLeft+2, cold.y(freezing)-3, tick(freezing)+b.unitWords(" °F"))
	for _, e := range events {
		b.drawStorm(d, e, axis, depth, cold)
	}
	return d.html()
}

func (b *book) seasonSpan(events []event) span {
	begin, end := events[0].BeganAt.In(b.clock.zone), events[len(events)-1].EndedAt.In(b.clock.zone)
	begin = time.Date(begin.Year(), begin.Month(), 1, 0, 0, 0, 0, b.clock.zone)
	end = time.Date(end.Year(), end.Month()+1, 1, 0, 0, 0, 0, b.clock.zone)
	return span{begin, end, stripLeft, stripRight}
}

func (b *book) drawMonths(d *drawing, axis span) {
	for t := axis.begin; t.Before(axis.end); t = t.AddDate(0, 1, 0) {
		d.line("rule strongrule", axis.x(t), stripTop-12, axis.x(t), coldBottom)
		d.text("small strong", "start", axis.x(t)+4, coldBottom+16, t.Format("Jan 2006"))
	}
}

func mostWater(events []event) float64 {
	most := 0.0
	for _, e := range events {
		most = max(most, orZero(e.water()))
	}
	return most
}

func coldest(events []event) (low, high float64) {
	low, high = rows.FreezingF, rows.FreezingF
	for _, e := range events {
		if v := e.surfaceFMin(); v != nil {
			low, high = min(low, *v), max(high, *v)
		}
	}
	return low, high
}

// water is the mean of the zones' precip_in.
func (e event) water() *float64 {
	sum, n := 0.0, 0.0
	for _, zone := range e.Zones {
		if zone.PrecipIn != nil {
			sum, n = sum+*zone.PrecipIn, n+1
		}
	}
	return ratio(sum, n)
}

// surfaceFMin is the lowest pavement temperature of all zones.
func (e event) surfaceFMin() *float64 {
	var least *float64
	for _, zone := range e.Zones {
		least = lower(least, zone.SurfaceFMin)
	}
	return least
}

// severity is the highest of the zones'.
func (e event) severity() *float64 {
	var most *float64
	for _, zone := range e.Zones {
		if zone.Severity != nil && (most == nil || *zone.Severity > *most) {
			most = zone.Severity
		}
	}
	return most
}

// airFMean is the mean of the zones' mean air temperatures.
func (e event) airFMean() *float64 {
	sum, n := 0.0, 0.0
	for _, zone := range e.Zones {
		if zone.AirFMean != nil {
			sum, n = sum+*zone.AirFMean, n+1
		}
	}
	return ratio(sum, n)
}

// kind is the zones' kind where they agree, `dry` zones aside; else `varied`.
func (e event) kind() string {
	kind := ""
	for _, zone := range e.Zones {
		switch {
		case zone.Kind == "dry":
		case kind == "" || kind == zone.Kind:
			kind = zone.Kind
		default:
			return "varied"
		}
	}
	if kind == "" {
		return "dry"
	}
	return kind
}

// length is the time from the first zone's begin to the last zone's end, in hours.
func (e event) length() *float64 {
	h := e.EndedAt.Sub(e.BeganAt).Hours()
	return &h
}

func (b *book) drawStorm(d *drawing, e event, axis span, depth, cold scale) {
	x := axis.x(e.BeganAt)
	width := max(axis.x(e.EndedAt)-x, 4)
	title := stormTitle(b.units, e, b.clock.day(e.BeganAt))
	style := "stormbar"
	if e.IsOpen {
		style += " open"
	}
	if b.isMinor(e) {
		d.body.WriteString(`<g class="minor">`)
		defer d.body.WriteString("</g>")
	}
	top := min(depth.y(b.value(water, orZero(e.water()))), depth.bottom-2)
	d.rect(style, x, top, width, depth.bottom-top, title)
	sign := kindSigns[e.kind()]
	if sign == "" {
		sign = "V"
	}
	d.text("tiny strong", "middle", x+width/2, top-4, sign)
	if v := e.surfaceFMin(); v != nil {
		d.line("coldline", x+width/2, cold.y(b.value(temperature, rows.FreezingF)), x+width/2, cold.y(b.value(temperature, *v)))
		d.rect("colddot", x+width/2-2.5, cold.y(b.value(temperature, *v))-2.5, 5, 5, title)
	}
}
