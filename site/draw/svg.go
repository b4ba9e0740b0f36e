// Package draw makes pictures: charts as options of the chart library, of which it is the only importer, and drawings as SVG.
//
// In: a Book and what to show of it. Out: a chart's options or a drawing, the same bytes for the same rows.
package draw

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// Drawing is an SVG picture made at build, so that it prints and shows without a script. Colours come from the
// stylesheet by class.
type Drawing struct {
	Body          strings.Builder
	Width, Height float64
	Label         string // what the picture shows, for readers that cannot see it
}

// px writes a coordinate to a tenth of a pixel.
func px(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64) }

func (d *Drawing) rect(class string, x, y, width, height float64, title string) {
	fmt.Fprintf(&d.Body, `<rect class="%s" x="%s" y="%s" width="%s" height="%s">%s</rect>`,
		class, px(x), px(y), px(width), px(height), titled(title))
}

// Line draws a straight line between two points.
func (d *Drawing) Line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&d.Body, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

// Text sets a text; anchor is start, middle or end.
func (d *Drawing) Text(class, anchor string, x, y float64, text string) {
	fmt.Fprintf(&d.Body, `<text class="%s" text-anchor="%s" x="%s" y="%s">%s</text>`,
		class, anchor, px(x), px(y), template.HTMLEscapeString(text))
}

// turned sets a text upwards, its middle at x, y.
func (d *Drawing) turned(class string, x, y float64, text string) {
	fmt.Fprintf(&d.Body, `<text class="%s" text-anchor="middle" transform="translate(%s %s) rotate(-90)">%s</text>`,
		class, px(x), px(y), template.HTMLEscapeString(text))
}

// Mark draws a class's sign, a square where it has no shape of its own.
func (d *Drawing) Mark(sign string, isOpen bool, x, y, radius float64, title string) {
	style, r, path := "mark "+sign, radius*1.25, ""
	switch sign {
	case rows.Acetate:
	case rows.Chloride:
		path = corners(x, y-r, x+r, y, x, y+r, x-r, y)
	case "triangle":
		path = corners(x, y-r, x+r, y+radius, x-r, y+radius)
	case "wedge":
		path = corners(x-r, y-radius, x+r, y-radius, x, y+r)
	case "flag":
		path = corners(x-radius, y-r, x+r, y, x-radius, y+r)
	}
	if !slices.Contains([]string{rows.Acetate, rows.Chloride, rows.Abrasive, format.PlowSign}, sign) {
		style = "mark " + format.OtherSign
	}
	if isOpen {
		style += " open"
	}
	switch {
	case sign == rows.Acetate:
		fmt.Fprintf(&d.Body, `<circle class="%s" cx="%s" cy="%s" r="%s">%s</circle>`, style, px(x), px(y), px(radius), titled(title))
	case path != "":
		fmt.Fprintf(&d.Body, `<path class="%s" d="%s">%s</path>`, style, path, titled(title))
	default:
		d.rect(style, x-radius, y-radius, 2*radius, 2*radius, title)
	}
}

// corners is a closed path through these places.
func corners(places ...float64) string {
	path, command := "", "M"
	for i := 0; i < len(places); i += 2 {
		path, command = path+command+px(places[i])+" "+px(places[i+1]), "L"
	}
	return path + "Z"
}

// point is a place on a curve; a gap breaks it.
type point struct {
	x, y  float64
	isGap bool
}

func (d *Drawing) curve(class string, points []point) {
	var path strings.Builder
	move := true
	for _, p := range points {
		if p.isGap {
			move = true
			continue
		}
		command := "L"
		if move {
			command = "M"
		}
		path.WriteString(command + px(p.x) + " " + px(p.y))
		move = false
	}
	if path.Len() > 0 {
		fmt.Fprintf(&d.Body, `<path class="%s" d="%s"/>`, class, path.String())
	}
}

func titled(text string) string {
	if text == "" {
		return ""
	}
	return "<title>" + template.HTMLEscapeString(text) + "</title>"
}

// Html is the whole picture. Every text in it went through HTMLEscapeString.
func (d *Drawing) Html() template.HTML {
	// #nosec G203 -- every text in it went through HTMLEscapeString
	return template.HTML(fmt.Sprintf(`<svg role="img" aria-label="%s" viewBox="0 0 %s %s" width="%s" height="%s">%s</svg>`,
		template.HTMLEscapeString(d.Label), px(d.Width), px(d.Height), px(d.Width), px(d.Height), d.Body.String()))
}

// span maps instants onto pixels.
type span struct {
	begin, end  time.Time
	left, right float64
}

func (s span) x(t time.Time) float64 {
	return s.left + (s.right-s.left)*float64(t.Sub(s.begin))/float64(s.end.Sub(s.begin))
}

// scale maps values onto pixels, low at the bottom.
type scale struct{ low, high, top, bottom float64 }

// Y is the pixel of a value.
func (s scale) Y(v float64) float64 { return s.bottom - (s.bottom-s.top)*(v-s.low)/(s.high-s.low) }

// RoundScale widens [low, high] to round steps and lists the steps to draw, at most about count of them.
func RoundScale(low, high float64, steps int, top, bottom float64) (scale, []float64) {
	if high <= low {
		high = low + 1
	}
	step := roundStep((high - low) / float64(steps))
	first, last := math.Floor(low/step)*step, math.Ceil(high/step)*step
	var ticks []float64
	for v := first; v <= last+step/2; v += step {
		ticks = append(ticks, v)
	}
	return scale{first, last, top, bottom}, ticks
}

// roundStep is the least of 1, 2, 5 times a power of ten that is not below step.
func roundStep(step float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(step)))
	for _, factor := range []float64{1, 2, 5} {
		if factor*power >= step {
			return factor * power
		}
	}
	return 10 * power
}

// area fills the space between an upper and a lower edge, both from left to right.
func (d *Drawing) area(class string, upper, lower []point) {
	if len(upper) == 0 {
		return
	}
	var path strings.Builder
	command := "M"
	for _, p := range upper {
		path.WriteString(command + px(p.x) + " " + px(p.y))
		command = "L"
	}
	for i := len(lower) - 1; i >= 0; i-- {
		path.WriteString("L" + px(lower[i].x) + " " + px(lower[i].y))
	}
	fmt.Fprintf(&d.Body, `<path class="%s" d="%sZ"/>`, class, path.String())
}

// StateDrawing draws words in the middle of a frame, for what is known too little to be charted.
func StateDrawing(words string) template.HTML {
	d := &Drawing{Width: 640, Height: 120, Label: format.Capital(words) + "."}
	d.rect("stateframe", 1, 1, 638, 118, "")
	d.Text("strong", "middle", 320, 64, words)
	return d.Html()
}
