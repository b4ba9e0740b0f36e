package draw

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

// ratioScales are what all pictures of running ratios share.
type ratioScales struct {
	weeks     []time.Time // every week with solids, oldest first
	y         scale
	ticks     []float64
	Tolerance float64
}

// The range of the pictures of ratios: it holds those of a spreader set for salt that carries acetate, 0.63, and of the reverse, 1.59
// (common practice).
const (
	leastRatio = 0.4
	mostRatio  = 1.6
)

// RatioScales finds the weeks and the range; the range holds the tolerance band.
func RatioScales(b *book.Book, rows []rows.Reconciliation) ratioScales {
	s := ratioScales{Tolerance: b.Setting("reconcile_tolerance")}
	low, high := math.Min(leastRatio, 1-s.Tolerance), math.Max(mostRatio, 1+s.Tolerance)
	for _, r := range rows {
		s.weeks = append(s.weeks, r.Week)
	}
	slices.SortFunc(s.weeks, time.Time.Compare)
	s.weeks = slices.CompactFunc(s.weeks, time.Time.Equal)
	s.y = scale{low, high, smallTop, smallBottom}
	for v := range 5 {
		s.ticks = append(s.ticks, low+(high-low)*float64(v)/4)
	}
	return s
}

// RatioFigure draws the running ratio of one truck with one material; ratios off the scale are drawn at its edge, with their value.
func RatioFigure(b *book.Book, rows []rows.Reconciliation, s ratioScales) template.HTML {
	latest := book.LatestRatio(rows)
	d := &Drawing{Width: smallWidth, Height: smallHeight,
		Label: words.Say(b.Units, "ratio label", words.TruckTitle(b.Units, rows[0].TruckID, rows[0].MaterialID, latest, s.Tolerance))}
	top, bottom := s.y.Y(1+s.Tolerance), s.y.Y(1-s.Tolerance)
	d.rect("sameband", smallLeft, top, smallRight-smallLeft, bottom-top, "")
	for _, v := range s.ticks {
		d.Line("rule", smallLeft, s.y.Y(v), smallRight, s.y.Y(v))
		d.Text("tiny", "end", smallLeft-5, s.y.Y(v)+3, format.Tick(math.Round(v*100)/100))
	}
	d.Line("rule strongrule", smallLeft, s.y.Y(1), smallRight, s.y.Y(1))
	x := weekPlaces(b, d, s)
	var points []point
	last := -2
	for _, r := range rows {
		at, _ := slices.BinarySearchFunc(s.weeks, r.Week, time.Time.Compare)
		if r.RunningRatio == nil {
			continue
		}
		if at > last+1 && len(points) > 0 && book.SeasonOfDate(s.weeks[last]) != book.SeasonOfDate(r.Week) {
			points = append(points, point{isGap: true})
		}
		last = at
		p := point{x: x(at), y: s.y.Y(math.Max(s.y.low, math.Min(*r.RunningRatio, s.y.high)))}
		points = append(points, p)
		if *r.RunningRatio > s.y.high || *r.RunningRatio < s.y.low {
			anchor, beside := "middle", p.x
			if at == 0 { // beside the scale: the value would lie on its top tick
				anchor, beside = "start", smallLeft
			}
			d.Text("tiny halo", anchor, beside, p.y-5, format.Ratios(r.RunningRatio))
		}
		class := "ratiodot"
		if book.IsWrongSetting(r.Finding) {
			class = "checkdot"
		}
		fmt.Fprintf(&d.Body, `<circle class="%s" cx="%s" cy="%s" r="%s">%s</circle>`, class, px(p.x), px(p.y),
			map[string]string{"ratiodot": "2.2", "checkdot": "4"}[class],
			titled(fmt.Sprintf("Week of %s: %s, %s", format.Date(r.Week), format.Ratios(r.RunningRatio),
				words.Say(b.Units, "finding", r.Finding))))
	}
	d.curve("curve", points)
	return d.Html()
}

// weekPlaces names the seasons under a picture and gives the place of each week.
func weekPlaces(b *book.Book, d *Drawing, s ratioScales) func(int) float64 {
	step := (smallRight - smallLeft) / float64(max(len(s.weeks), 1))
	x := func(i int) float64 { return smallLeft + step*(float64(i)+0.5) }
	season := ""
	for i, week := range s.weeks {
		if name := book.SeasonOfDate(week); name != season {
			season = name
			d.Line("rule strongrule", x(i)-step/2, smallTop, x(i)-step/2, smallBottom+8)
			d.Text("tiny", "start", x(i)-step/2+3, smallBottom+18, season)
		}
	}
	return x
}

// Measures of the fan of a material's stock, in pixels: small enough for a phone.
const (
	fanWidth  = 360.0
	fanHeight = 230.0
	fanLeft   = 40.0
	fanRight  = 284.0
	fanTop    = 26.0
	fanBottom = 186.0
)

// FanState draws the words for a fan that cannot be drawn, one line each.
func FanState(lines ...string) template.HTML {
	d := &Drawing{Width: fanWidth, Height: fanHeight / 2, Label: format.Capital(strings.Join(lines, " ")) + "."}
	d.rect("stateframe", 1, 1, fanWidth-2, fanHeight/2-2, "")
	for i, line := range lines {
		d.Text("strong", "middle", fanWidth/2, fanHeight/4+18*(float64(i)-float64(len(lines)-1)/2)+4, line)
	}
	return d.Html()
}

// FanFigure draws what is left of a material from the day of the outlook to the season's end: p50 as a line, p10 to p90 as a band, the
// order-by date.
func FanFigure(b *book.Book, o rows.StockOutlook, fan []rows.StockFan) template.HTML {
	d := &Drawing{Width: fanWidth, Height: fanHeight, Label: words.Say(b.Units, "outlook", o)}
	left := func(lb *float64) float64 { return b.Value(format.Heap, rows.OrZero(lb)/rows.LbPerTon) }
	low, high := 0.0, 0.0
	for _, p := range fan {
		low, high = math.Min(low, left(p.LeftP10Lb)), math.Max(high, left(p.LeftP90Lb))
	}
	y, ticks := RoundScale(low, high, 5, fanTop, fanBottom)
	for _, v := range ticks {
		d.Line("rule", fanLeft, y.Y(v), fanRight, y.Y(v))
		d.Text("tiny", "end", fanLeft-6, y.Y(v)+4, format.Tick(v))
	}
	d.Text("tiny", "start", 4, 10, b.UnitWords("tons left if nothing is delivered"))
	t := span{fan[0].Date, fan[len(fan)-1].Date, fanLeft, fanRight}
	var upper, middle, lower []point
	for _, p := range fan {
		x := t.x(p.Date)
		upper, middle, lower = append(upper, point{x: x, y: y.Y(left(p.LeftP90Lb))}), append(middle,
			point{x: x, y: y.Y(left(p.LeftP50Lb))}), append(lower, point{x: x, y: y.Y(left(p.LeftP10Lb))})
	}
	d.area("fanband", upper, lower)
	d.curve("fitline", middle)
	d.Line("rule strongrule", fanLeft, y.Y(0), fanRight, y.Y(0))
	fanMonths(b, d, t)
	fanLabels(d, upper, middle, lower)
	if o.OrderByDate != nil && !o.OrderByDate.Before(t.begin) && !o.OrderByDate.After(t.end) {
		x := t.x(*o.OrderByDate)
		d.Line("cautionline", x, fanTop, x, fanBottom)
		anchor := "start"
		if x > (fanLeft+fanRight)/2 {
			anchor = "end"
		}
		d.Text("tiny halo", anchor, x+map[string]float64{"start": 5, "end": -5}[anchor], fanTop-4, "order by "+format.Date(*o.OrderByDate))
	}
	return d.Html()
}

// fanMonths marks the first of each month.
func fanMonths(b *book.Book, d *Drawing, t span) {
	first := time.Date(t.begin.UTC().Year(), t.begin.UTC().Month(), 1, 0, 0, 0, 0, time.UTC)
	d.Text("tiny", "start", t.left, fanBottom+32, format.Date(t.begin))
	d.Text("tiny", "end", t.right, fanBottom+32, format.Date(t.end))
	for at := first.AddDate(0, 1, 0); !at.After(t.end); at = at.AddDate(0, 1, 0) {
		d.Line("rule strongrule", t.x(at), fanBottom, t.x(at), fanBottom+5)
		d.Text("tiny", "middle", t.x(at), fanBottom+16, at.Format("Jan"))
	}
}

// fanLabels names the edges of the fan at its right end, kept apart.
func fanLabels(d *Drawing, upper, middle, lower []point) {
	n := len(middle) - 1
	top, mid, low := upper[n].y, middle[n].y, lower[n].y
	mid = math.Max(mid, top+12)
	low = math.Max(low, mid+12)
	d.Text("tiny", "start", fanRight+6, top+4, "1 in 10 more")
	d.Text("tiny halo", "start", fanRight+6, mid+4, "middle")
	d.Text("tiny", "start", fanRight+6, low+4, "1 in 10 less")
}
