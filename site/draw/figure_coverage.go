package draw

import (
	"html/template"
	"math"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

// Measures of the strip of coverage, in pixels.
const (
	coverWidth  = 760.0
	coverLeft   = 120.0
	coverRight  = 752.0
	coverTop    = 44.0
	coverHeight = 18.0 // of a row
	coverBar    = 13.0 // of the bar in it
	numberWidth = 24.0 // a narrower span has no room for its number
)

// CoverageFigure draws the reference posts across and the storms down: in each span how often it was treated, what was missed empty, what
// was doubled between two lines, bridges as bands through all storms.
func CoverageFigure(b *book.Book, rows []book.Covered, bridges []rows.Bridge) template.HTML {
	spans := rows[0].Spans
	from, to := spans[0].FromMi, spans[len(spans)-1].ToMi
	bottom := coverTop + coverHeight*float64(len(rows))
	d := &Drawing{Width: coverWidth, Height: bottom + 6,
		Label: words.Say(b.Units, "coverage label", len(rows))}
	x := func(mi float64) float64 { return coverLeft + (coverRight-coverLeft)*(mi-from)/(to-from) }
	drawPosts(d, from, to, x, bottom)
	for _, bridge := range bridges {
		d.rect("bridgeband", x(bridge.FromMi), coverTop-12, x(bridge.ToMi)-x(bridge.FromMi), bottom-coverTop+12, "")
		d.Text("tiny strong", "middle", min(x((bridge.FromMi+bridge.ToMi)/2), coverRight-18), coverTop-3, "bridge")
	}
	for i, row := range rows {
		drawCovered(b, d, row, coverTop+coverHeight*float64(i), x)
	}
	return d.Html()
}

// drawPosts rules the posts, a dozen at most.
func drawPosts(d *Drawing, from, to float64, x func(float64) float64, bottom float64) {
	d.Text("small", "start", 4, 14, "post")
	step := roundStep((to - from) / 12)
	for k := math.Ceil(from/step-1e-9) + 0; k*step <= to+1e-9; k++ {
		mi := k * step
		d.Line("rule", x(mi), 20, x(mi), bottom)
		d.Text("small", "middle", min(x(mi), coverRight-6), 14, format.Tick(math.Round(mi*10)/10+0))
	}
}

func drawCovered(b *book.Book, d *Drawing, row book.Covered, y float64, x func(float64) float64) {
	top := y + (coverHeight-coverBar)/2
	label, ending := b.Clock.DayShort(b.Began(row.StormID)), ""
	if row.IsOpen {
		label, ending = label+", open", " open"
	}
	d.Text("small figure", "start", 4, y+13, label)
	d.Mark(b.Sign(row.Class), row.IsOpen, coverLeft-14, y+coverHeight/2, 4.5, "")
	for _, s := range row.Spans {
		left, width := x(s.FromMi), x(s.ToMi)-x(s.FromMi)
		style := "cover " + b.ClassStyle(row.Class)
		switch s.State {
		case rows.MissedState:
			style = "cover missed"
		case rows.DoubledState:
			style += " twice"
		}
		d.rect(style+ending, left, top, width, coverBar, "")
		if s.State == rows.DoubledState {
			d.Line("twiceline", left, top, left+width, top)
			d.Line("twiceline", left, top+coverBar, left+width, top+coverBar)
		}
		if width >= numberWidth {
			d.Text("tiny strong", "middle", left+width/2, top+10, coverNumber(s))
		}
	}
}

// coverNumber is how often a span was treated.
func coverNumber(s rows.CoverageSpan) string {
	if s.State == rows.MissedState {
		return "0"
	}
	return format.Fixed(&s.Applications, 1)
}
