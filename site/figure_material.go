package site

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// ratioScales are what all pictures of running ratios share.
type ratioScales struct {
	weeks     []time.Time // every week with solids, oldest first
	y         scale
	ticks     []float64
	tolerance float64
}

// The range of the pictures of ratios: it holds those of a spreader set for salt that carries acetate, 0.63, and of the reverse, 1.59 (common practice).
const (
	leastRatio = 0.4
	mostRatio  = 1.6
)

// ratioScales finds the weeks and the range; the range holds the tolerance band.
func (b *book) ratioScales(rows []Reconciliation) ratioScales {
	s := ratioScales{tolerance: b.setting("reconcile_tolerance")}
	low, high := math.Min(leastRatio, 1-s.tolerance), math.Max(mostRatio, 1+s.tolerance)
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

// ratioFigure draws the running ratio of one truck with one material; ratios off the scale are drawn at its edge, with their value.
func (b *book) ratioFigure(rows []Reconciliation, s ratioScales) template.HTML {
	latest := latestRatio(rows)
	d := &drawing{width: smallWidth, height: smallHeight, label: ratioLabel(b.units, truckTitle(rows[0].TruckID, rows[0].MaterialID, latest, s.tolerance))}
	top, bottom := s.y.y(1+s.tolerance), s.y.y(1-s.tolerance)
	d.rect("sameband", smallLeft, top, smallRight-smallLeft, bottom-top, "")
	for _, v := range s.ticks {
		d.line("rule", smallLeft, s.y.y(v), smallRight, s.y.y(v))
		d.text("tiny", "end", smallLeft-5, s.y.y(v)+3, tick(math.Round(v*100)/100))
	}
	d.line("rule strongrule", smallLeft, s.y.y(1), smallRight, s.y.y(1))
	x := b.weekPlaces(d, s)
	var points []point
	last := -2
	for _, r := range rows {
		at, _ := slices.BinarySearchFunc(s.weeks, r.Week, time.Time.Compare)
		if r.RunningRatio == nil {
			continue
		}
		if at > last+1 && len(points) > 0 && seasonOfDate(s.weeks[last]) != seasonOfDate(r.Week) {
			points = append(points, point{isGap: true})
		}
		last = at
		p := point{x: x(at), y: s.y.y(math.Max(s.y.low, math.Min(*r.RunningRatio, s.y.high)))}
		points = append(points, p)
		if *r.RunningRatio > s.y.high || *r.RunningRatio < s.y.low {
			anchor, beside := "middle", p.x
			if at == 0 { // beside the scale: the value would lie on its top tick
				anchor, beside = "start", smallLeft
			}
			d.text("tiny halo", anchor, beside, p.y-5, ratios(r.RunningRatio))
		}
		class := "ratiodot"
		if isWrongSetting(r.Finding) {
			class = "checkdot"
		}
		fmt.Fprintf(&d.body, `<circle class="%s" cx="%s" cy="%s" r="%s">%s</circle>`, class, px(p.x), px(p.y), map[string]string{"ratiodot": "2.2", "checkdot": "4"}[class],
			titled(fmt.Sprintf("Week of %s: %s, %s", date(r.Week), ratios(r.RunningRatio), findingWords(r.Finding))))
	}
	d.curve("curve", points)
	return d.html()
}

// weekPlaces names the seasons under a picture and gives the place of each week.
func (b *book) weekPlaces(d *drawing, s ratioScales) func(int) float64 {
	step := (smallRight - smallLeft) / float64(max(len(s.weeks), 1))
	x := func(i int) float64 { return smallLeft + step*(float64(i)+0.5) }
	season := ""
	for i, week := range s.weeks {
		if name := seasonOfDate(week); name != season {
			season = name
			d.line("rule strongrule", x(i)-step/2, smallTop, x(i)-step/2, smallBottom+8)
			d.text("tiny", "start", x(i)-step/2+3, smallBottom+18, season)
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

// fanState draws the words for a fan that cannot be drawn, one line each.
func fanState(lines ...string) template.HTML {
	d := &drawing{width: fanWidth, height: fanHeight / 2, label: capital(strings.Join(lines, " ")) + "."}
	d.rect("stateframe", 1, 1, fanWidth-2, fanHeight/2-2, "")
	for i, line := range lines {
		d.text("strong", "middle", fanWidth/2, fanHeight/4+18*(float64(i)-float64(len(lines)-1)/2)+4, line)
	}
	return d.html()
}

// fanFigure draws what is left of a material from the day of the outlook to the season's end: p50 as a line, p10 to p90 as a band, the order-by date.
func (b *book) fanFigure(o StockOutlook, fan []StockFan) template.HTML {
	d := &drawing{width: fanWidth, height: fanHeight, label: outlookSentence(b.units, o)}
	left := func(lb *float64) float64 { return b.value(heap, orZero(lb)/rows.LbPerTon) }
	low, high := 0.0, 0.0
	for _, p := range fan {
		low, high = math.Min(low, left(p.LeftP10Lb)), math.Max(high, left(p.LeftP90Lb))
	}
	y, ticks := roundScale(low, high, 5, fanTop, fanBottom)
	for _, v := range ticks {
		d.line("rule", fanLeft, y.y(v), fanRight, y.y(v))
		d.text("tiny", "end", fanLeft-6, y.y(v)+4, tick(v))
	}
	d.text("tiny", "start", 4, 10, b.unitWords("tons left if nothing is delivered"))
	t := span{fan[0].Date, fan[len(fan)-1].Date, fanLeft, fanRight}
	var upper, middle, lower []point
	for _, p := range fan {
		x := t.x(p.Date)
		upper, middle, lower = append(upper, point{x: x, y: y.y(left(p.LeftP90Lb))}), append(middle, point{x: x, y: y.y(left(p.LeftP50Lb))}), append(lower, point{x: x, y: y.y(left(p.LeftP10Lb))})
	}
	d.area("fanband", upper, lower)
	d.curve("fitline", middle)
	d.line("rule strongrule", fanLeft, y.y(0), fanRight, y.y(0))
	b.fanMonths(d, t)
	fanLabels(d, upper, middle, lower)
	if o.OrderByDate != nil && !o.OrderByDate.Before(t.begin) && !o.OrderByDate.After(t.end) {
		x := t.x(*o.OrderByDate)
		d.line("cautionline", x, fanTop, x, fanBottom)
		anchor := "start"
		if x > (fanLeft+fanRight)/2 {
			anchor = "end"
		}
		d.text("tiny halo", anchor, x+map[string]float64{"start": 5, "end": -5}[anchor], fanTop-4, "order by "+date(*o.OrderByDate))
	}
	return d.html()
}

// fanMonths marks the first of each month.
func (b *book) fanMonths(d *drawing, t span) {
	first := time.Date(t.begin.UTC().Year(), t.begin.UTC().Month(), 1, 0, 0, 0, 0, time.UTC)
	d.text("tiny", "start", t.left, fanBottom+32, date(t.begin))
	d.text("tiny", "end", t.right, fanBottom+32, date(t.end))
	for at := first.AddDate(0, 1, 0); !at.After(t.end); at = at.AddDate(0, 1, 0) {
		d.line("rule strongrule", t.x(at), fanBottom, t.x(at), fanBottom+5)
		d.text("tiny", "middle", t.x(at), fanBottom+16, at.Format("Jan"))
	}
}

// fanLabels names the edges of the fan at its right end, kept apart.
func fanLabels(d *drawing, upper, middle, lower []point) {
	n := len(middle) - 1
	top, mid, low := upper[n].y, middle[n].y, lower[n].y
	mid = math.Max(mid, top+12)
	low = math.Max(low, mid+12)
	d.text("tiny", "start", fanRight+6, top+4, "1 in 10 more")
	d.text("tiny halo", "start", fanRight+6, mid+4, "middle")
	d.text("tiny", "start", fanRight+6, low+4, "1 in 10 less")
}
