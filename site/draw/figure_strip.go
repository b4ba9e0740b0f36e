package draw

import (
	"html/template"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
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

// Strip draws a season's storms along its dates: how long each was (width), how much water fell (height; mean over
// zones), what it was (letter) and its lowest pavement temperature. Root leads from the page to the top folder.
func Strip(b *book.Book, events []book.Event) template.HTML {
	d := &Drawing{Width: stripWidth, Height: coldBottom + 24,
		Label: words.Say(b.Units, "strip label", len(events))}
	axis := seasonSpan(b, events)
	drawMonths(b, d, axis)
	depth, ticks := RoundScale(0, b.Value(format.Water, max(book.MostWater(events), 0.1)), 2, stripTop, stripBottom)
	for _, v := range ticks {
		d.Line("rule", stripLeft, depth.Y(v), stripRight, depth.Y(v))
		d.Text("small", "end", stripLeft-6, depth.Y(v)+4, format.Tick(v))
	}
	d.Text("small", "start", 0, stripTop-10, "water, "+b.Inch())
	low, high := book.Coldest(events)
	freezing := b.Value(format.Temperature, rows.FreezingF)
	cold, _ := RoundScale(b.Value(format.Temperature, min(low, rows.FreezingF-4)), b.Value(format.Temperature, max(high, rows.FreezingF)),
		2, coldTop, coldBottom)
	d.Text("small", "start", 0, coldTop+6, "lowest")
	d.Text("small", "start", 0, coldTop+19, "pavement")
	d.Line("freezing", stripLeft, cold.Y(freezing), stripRight, cold.Y(freezing))
	d.Text("tiny", "start", stripLeft+2, cold.Y(freezing)-3, format.Tick(freezing)+b.UnitWords(" °F"))
	for _, e := range events {
		drawStorm(b, d, e, axis, depth, cold)
	}
	return d.Html()
}

func seasonSpan(b *book.Book, events []book.Event) span {
	begin, end := events[0].BeganAt.In(b.Clock.Zone), events[len(events)-1].EndedAt.In(b.Clock.Zone)
	begin = time.Date(begin.Year(), begin.Month(), 1, 0, 0, 0, 0, b.Clock.Zone)
	end = time.Date(end.Year(), end.Month()+1, 1, 0, 0, 0, 0, b.Clock.Zone)
	return span{begin, end, stripLeft, stripRight}
}

func drawMonths(b *book.Book, d *Drawing, axis span) {
	for t := axis.begin; t.Before(axis.end); t = t.AddDate(0, 1, 0) {
		d.Line("rule strongrule", axis.x(t), stripTop-12, axis.x(t), coldBottom)
		d.Text("small strong", "start", axis.x(t)+4, coldBottom+16, t.Format("Jan 2006"))
	}
}

func drawStorm(b *book.Book, d *Drawing, e book.Event, axis span, depth, cold scale) {
	x := axis.x(e.BeganAt)
	width := max(axis.x(e.EndedAt)-x, 4)
	title := words.Say(b.Units, "storm title", e, b.Clock.Day(e.BeganAt))
	style := "stormbar"
	if e.IsOpen {
		style += " open"
	}
	if b.IsMinor(e) {
		d.Body.WriteString(`<g class="minor">`)
		defer d.Body.WriteString("</g>")
	}
	top := min(depth.Y(b.Value(format.Water, rows.OrZero(e.Water()))), depth.bottom-2)
	d.rect(style, x, top, width, depth.bottom-top, title)
	sign := kindSigns[e.Kind()]
	if sign == "" {
		sign = "V"
	}
	d.Text("tiny strong", "middle", x+width/2, top-4, sign)
	if v := e.SurfaceFMin(); v != nil {
		d.Line("coldline", x+width/2, cold.Y(b.Value(format.Temperature, rows.FreezingF)), x+width/2,
			cold.Y(b.Value(format.Temperature, *v)))
		d.rect("colddot", x+width/2-2.5, cold.Y(b.Value(format.Temperature, *v))-2.5, 5, 5, title)
	}
}
