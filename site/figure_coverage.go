package site

import (
	"html/template"
	"math"
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

// coverageFigure draws the reference posts across and the storms down: in each span how often it was treated, what was missed empty, what was doubled
// between two lines, bridges as bands through all storms.
func (b *book) coverageFigure(rows []covered, bridges []Bridge) template.HTML {
	spans := rows[0].spans
	from, to := spans[0].FromMi, spans[len(spans)-1].ToMi
	bottom := coverTop + coverHeight*float64(len(rows))
	d := &drawing{width: coverWidth, height: bottom + 6,
		label: coverageLabel(len(rows))}
	x := func(mi float64) float64 { return coverLeft + (coverRight-coverLeft)*(mi-from)/(to-from) }
	drawPosts(d, from, to, x, bottom)
	for _, bridge := range bridges {
		d.rect("bridgeband", x(bridge.FromMi), coverTop-12, x(bridge.ToMi)-x(bridge.FromMi), bottom-coverTop+12, "")
		d.text("tiny strong", "middle", min(x((bridge.FromMi+bridge.ToMi)/2), coverRight-18), coverTop-3, "bridge")
	}
	for i, row := range rows {
		b.drawCovered(d, row, coverTop+coverHeight*float64(i), x)
	}
	return d.html()
}

// drawPosts rules the posts, a dozen at most.
func drawPosts(d *drawing, from, to float64, x func(float64) float64, bottom float64) {
	d.text("small", "start", 4, 14, "post")
	step := roundStep((to - from) / 12)
	for k := math.Ceil(from/step-1e-9) + 0; k*step <= to+1e-9; k++ {
		mi := k * step
		d.line("rule", x(mi), 20, x(mi), bottom)
		d.text("small", "middle", min(x(mi), coverRight-6), 14, tick(math.Round(mi*10)/10+0))
	}
}

func (b *book) drawCovered(d *drawing, row covered, y float64, x func(float64) float64) {
	top := y + (coverHeight-coverBar)/2
	label, ending := b.clock.dayShort(b.began(row.stormID)), ""
	if row.isOpen {
		label, ending = label+", open", " open"
	}
	d.text("small figure", "start", 4, y+13, label)
	d.mark(b.sign(row.class), row.isOpen, coverLeft-14, y+coverHeight/2, 4.5, "")
	for _, s := range row.spans {
		left, width := x(s.FromMi), x(s.ToMi)-x(s.FromMi)
		style := "cover " + b.classStyle(row.class)
		switch s.State {
		case missedState:
			style = "cover missed"
		case doubledState:
			style += " twice"
		}
		d.rect(style+ending, left, top, width, coverBar, "")
		if s.State == doubledState {
			d.line("twiceline", left, top, left+width, top)
			d.line("twiceline", left, top+coverBar, left+width, top+coverBar)
		}
		if width >= numberWidth {
			d.text("tiny strong", "middle", left+width/2, top+10, coverNumber(s))
		}
	}
}

// coverNumber is how often a span was treated.
func coverNumber(s CoverageSpan) string {
	if s.State == missedState {
		return "0"
	}
	return fixed(&s.Applications, 1)
}
