package site

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
)

// curveFrame is the place of a picture of rates over experience. Experience runs in doublings: log2(1 + storms worked).
type curveFrame struct {
	width, height, left, right, top, bottom float64
	isSmall                                 bool
}

var (
	wideFrame  = curveFrame{width: 960, height: 366, left: 60, right: 800, top: 30, bottom: 320}
	smallFrame = curveFrame{width: 320, height: 190, left: 40, right: 310, top: 14, bottom: 150, isSmall: true}
)

// experienceTicks are the storms worked that stand at whole doublings.
var experienceTicks = []int64{0, 1, 3, 7, 15, 31, 63, 127, 255}

// curveScales are shared by the common picture and by every crew's, so that pictures can be set side by side.
type curveScales struct {
	low, high float64 // lb per lane-mile
	most      int64   // storms worked
}

// ratePoint is a fitted rate with the experience it was put down at.
type ratePoint struct {
	crewID, stormID, routeID string
	prior                    int64
	rate                     float64
	isOutlier                bool
}

// ratePoints are the rates of the fit that pages may show, in the order of storms, crews and routes.
func (b *book) ratePoints() []ratePoint {
	type key struct{ stormID, crewID, routeID string }
	prior := map[key]int64{}
	for _, row := range b.data.CrewStorms {
		if row.MaterialClass == b.compareClass() && row.Form == solid && row.PriorStorms != nil {
			prior[key{row.StormID, row.CrewID, row.RouteID}] = *row.PriorStorms
		}
	}
	if !b.namesCrews() {
		return b.routePoints(func(r LearningResidual) (int64, bool) {
			n, found := prior[key{r.StormID, r.CrewID, r.RouteID}]
			return n, found
		})
	}
	var points []ratePoint
	for _, r := range b.residuals() {
		if n, found := prior[key{r.StormID, r.CrewID, r.RouteID}]; found && r.Rate != nil && b.isPublicRate(r.StormID, r.RouteID, r.CrewID) {
			points = append(points, ratePoint{r.CrewID, r.StormID, r.RouteID, n, *r.Rate, r.IsOutlier})
		}
	}
	return points
}

// curveOf is a crew's curve, or that of `all`, by storms worked.
func (b *book) curveOf(crewID string) []LearningCurve {
	var curve []LearningCurve
	for _, p := range b.data.LearningCurves {
		if p.CrewID == crewID && p.Rate != nil {
			curve = append(curve, p)
		}
	}
	return sorted(curve, func(x, y LearningCurve) int { return cmp.Compare(x.PriorStorms, y.PriorStorms) })
}

func (b *book) curveScales(points []ratePoint) curveScales {
	s := curveScales{low: math.Inf(1), high: math.Inf(-1)}
	for _, p := range points {
		s.low, s.high, s.most = min(s.low, p.rate), max(s.high, p.rate), max(s.most, p.prior)
	}
	for _, p := range b.curveOf(allCrews) {
		s.low, s.high, s.most = min(s.low, *p.Rate), max(s.high, *p.Rate), max(s.most, p.PriorStorms)
	}
	if s.low > s.high {
		s.low, s.high = 0, 100
	}
	return s
}

// curveDrawing draws rates, bands and curves in one frame.
type curveDrawing struct {
	drawing
	units
	frame curveFrame
	most  float64 // doublings at the right edge
	rates scale   // in the shown unit
}

func newCurveDrawing(u units, frame curveFrame, s curveScales, label string) *curveDrawing {
	d := &curveDrawing{units: u, frame: frame, most: math.Log2(1 + float64(max(s.most, 1)))}
	d.width, d.height, d.label = frame.width, frame.height, label
	steps, small := 5, "small"
	if frame.isSmall {
		steps, small = 3, "tiny"
	}
	var ticks []float64
	d.rates, ticks = roundScale(u.value(massRate, s.low), u.value(massRate, s.high), steps, frame.top, frame.bottom)
	for _, v := range ticks {
		d.line("rule", frame.left, d.rates.y(v), frame.right, d.rates.y(v))
		d.text(small, "end", frame.left-6, d.rates.y(v)+4, tick(v))
	}
	for _, n := range experienceTicks {
		if n > s.most {
			break
		}
		d.line("rule", d.x(n), frame.bottom, d.x(n), frame.bottom+5)
		d.text(small, "middle", d.x(n), frame.bottom+18, tick(float64(n)))
	}
	if !frame.isSmall {
		d.text("small strong", "start", 0, frame.top-14, u.unitWords("rate, lb per lane-mile"))
		d.text("small strong", "middle", (frame.left+frame.right)/2, frame.bottom+40, u.unitWords("{acetate} storms worked before; every step to the right is a doubling of 1 + storms"))
	} else {
		d.text("tiny", "middle", (frame.left+frame.right)/2, frame.bottom+34, u.unitWords("{acetate} storms worked before"))
	}
	return d
}

// x is the place of so many storms worked.
func (d *curveDrawing) x(storms int64) float64 {
	return d.frame.left + (d.frame.right-d.frame.left)*math.Log2(1+float64(storms))/d.most
}

// y is the place of a rate in pounds per lane-mile, kept inside the frame.
func (d *curveDrawing) y(rate float64) float64 {
	return min(max(d.rates.y(d.value(massRate, rate)), d.frame.top), d.frame.bottom)
}

func (d *curveDrawing) band(style string, curve []LearningCurve) {
	var upper, lower []point
	for _, p := range curve {
		if p.RateLow90 != nil && p.RateHigh90 != nil {
			upper = append(upper, point{x: d.x(p.PriorStorms), y: d.y(*p.RateHigh90)})
			lower = append(lower, point{x: d.x(p.PriorStorms), y: d.y(*p.RateLow90)})
		}
	}
	d.area(style, upper, lower)
}

func (d *curveDrawing) fitted(style string, curve []LearningCurve) []point {
	var points []point
	for _, p := range curve {
		points = append(points, point{x: d.x(p.PriorStorms), y: d.y(*p.Rate)})
	}
	d.curve(style, points)
	return points
}

func (d *curveDrawing) points(points []ratePoint, radius float64, title func(ratePoint) string) {
	for _, p := range points {
		style := "ratedot"
		if p.isOutlier {
			style += " outlier"
		}
		fmt.Fprintf(&d.body, `<circle class="%s" cx="%s" cy="%s" r="%s">%s</circle>`, style, px(d.x(p.prior)), px(d.y(p.rate)), px(radius), titled(title(p)))
	}
}

// startBand draws where acetate usually begins: 1.25 to 1.50 times the salt rate that the fits put beside a first storm.
func (d *curveDrawing) startBand(l *Learning) {
	if l == nil || l.StartRate == nil || l.StartRatio == nil || *l.StartRatio <= 0 {
		return
	}
	salt := *l.StartRate / *l.StartRatio
	high, low := d.y(salt*startHighRatio), d.y(salt*startLowRatio)
	if low-high < 1 {
		return
	}
	right := d.frame.left + 26
	d.rect("startband", d.frame.left, high, right-d.frame.left, low-high, d.sprintf("1.25 to 1.50 times {salt}: %s to %s lb per lane-mile", d.rate(new(salt*startLowRatio)), d.rate(new(salt*startHighRatio))))
	d.text("tiny halo", "start", right+4, high+4, d.unitWords("1.50 × {salt}"))
	d.text("tiny halo", "start", right+4, low+4, d.unitWords("1.25 × {salt}"))
}

// order marks the experience at which an order took effect; where crews differ it is a stretch.
func (d *curveDrawing) order(first, last int64, name string) {
	left, right := d.x(first), d.x(last)
	d.line("orderline", left, d.frame.top, left, d.frame.bottom)
	if right > left+1 {
		d.line("orderline", right, d.frame.top, right, d.frame.bottom)
		d.line("orderline", left, d.frame.top, right, d.frame.top)
	}
	d.text("tiny halo", "middle", (left+right)/2, d.frame.top-3, name)
}

// commonCurve draws every rate of the fit, the common curve with its band, the band of usual beginnings and the orders.
func (b *book) commonCurve(points []ratePoint, s curveScales) template.HTML {
	l := b.learningOf(allCrews)
	d := newCurveDrawing(b.units, wideFrame, s, commonCurveLabel(b.units, len(points)))
	d.points(points, 2.5, func(p ratePoint) string {
		if !b.namesCrews() {
			return unnamedRateTitle(b.units, p)
		}
		return rateTitle(b.units, p)
	})
	curve := b.curveOf(allCrews)
	d.band("fitband", curve)
	d.startBand(l)
	for i, o := range b.fittedOrders() {
		if first, last, found := b.experienceAt(o, points); found {
			d.order(first, last, fmt.Sprintf("order %d", i+1))
		}
	}
	if fitted := d.fitted("fitline", curve); len(fitted) > 0 {
		end := fitted[len(fitted)-1]
		d.text("small strong", "start", end.x+8, end.y+4, "common curve")
		d.text("small", "start", end.x+8, end.y+18, "with 90 % interval")
	}
	return d.html()
}

// crewCurve draws one crew's rates and curve, with the common curve thin behind it.
func (b *book) crewCurve(crewID string, points []ratePoint, s curveScales) template.HTML {
	var own []ratePoint
	for _, p := range points {
		if p.crewID == crewID {
			own = append(own, p)
		}
	}
	d := newCurveDrawing(b.units, smallFrame, s, crewCurveLabel(len(own), crewID))
	d.points(own, 2, func(p ratePoint) string {
		return rateTitle(b.units, p)
	})
	d.band("fitband", b.curveOf(crewID))
	d.fitted("fitline common", b.curveOf(allCrews))
	for i, o := range b.fittedOrders() {
		if first, _, found := b.experienceAt(o, own); found {
			d.order(first, first, fmt.Sprintf("order %d", i+1))
		}
	}
	d.fitted("fitline", b.curveOf(crewID))
	return d.html()
}
