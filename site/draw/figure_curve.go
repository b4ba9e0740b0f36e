package draw

import (
	"cmp"
	"fmt"
	"html/template"
	"math"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
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

// ExperienceTicks are the storms worked that stand at whole doublings.
var ExperienceTicks = []int64{0, 1, 3, 7, 15, 31, 63, 127, 255}

// CurveScales are shared by the common picture and by every crew's, so that pictures can be set side by side.
type CurveScales struct {
	low, high float64 // lb per lane-mile
	most      int64   // storms worked
}

// RatePoints are the rates of the fit that pages may show, in the order of storms, crews and routes.
func RatePoints(b *book.Book) []book.RatePoint {
	type key struct{ stormID, crewID, routeID string }
	prior := map[key]int64{}
	for _, row := range b.Data.CrewStorms {
		if row.MaterialClass == b.CompareClass() && row.Form == rows.Solid && row.PriorStorms != nil {
			prior[key{row.StormID, row.CrewID, row.RouteID}] = *row.PriorStorms
		}
	}
	if !b.NamesCrews() {
		return b.RoutePoints(func(r rows.LearningResidual) (int64, bool) {
			n, found := prior[key{r.StormID, r.CrewID, r.RouteID}]
			return n, found
		})
	}
	var points []book.RatePoint
	for _, r := range b.Residuals() {
		if n, found := prior[key{r.StormID, r.CrewID, r.RouteID}]; found && r.Rate != nil && b.IsPublicRate(r.StormID, r.RouteID,
			r.CrewID) {
			points = append(points, book.RatePoint{CrewID: r.CrewID, StormID: r.StormID, RouteID: r.RouteID, Prior: n, Rate: *r.Rate,
				IsOutlier: r.IsOutlier})
		}
	}
	return points
}

// CurveOf is a crew's curve, or that of `all`, by storms worked.
func CurveOf(b *book.Book, crewID string) []rows.LearningCurve {
	curve := book.Where(b.Data.LearningCurves, func(p rows.LearningCurve) bool { return p.CrewID == crewID && p.Rate != nil })
	return book.Sorted(curve, func(x, y rows.LearningCurve) int { return cmp.Compare(x.PriorStorms, y.PriorStorms) })
}

// ScalesOfCurves span the points and the common curve; 0 to 100 where there is neither.
func ScalesOfCurves(b *book.Book, points []book.RatePoint) CurveScales {
	s := CurveScales{low: math.Inf(1), high: math.Inf(-1)}
	for _, p := range points {
		s.low, s.high, s.most = min(s.low, p.Rate), max(s.high, p.Rate), max(s.most, p.Prior)
	}
	for _, p := range CurveOf(b, rows.AllCrews) {
		s.low, s.high, s.most = min(s.low, *p.Rate), max(s.high, *p.Rate), max(s.most, p.PriorStorms)
	}
	if s.low > s.high {
		s.low, s.high = 0, 100
	}
	return s
}

// curveDrawing draws rates, bands and curves in one frame.
type curveDrawing struct {
	Drawing
	format.Units
	frame curveFrame
	most  float64 // doublings at the right edge
	rates scale   // in the shown unit
}

func newCurveDrawing(u format.Units, frame curveFrame, s CurveScales, label string) *curveDrawing {
	d := &curveDrawing{Units: u, frame: frame, most: math.Log2(1 + float64(max(s.most, 1)))}
	d.Width, d.Height, d.Label = frame.width, frame.height, label
	steps, small := 5, "small"
	if frame.isSmall {
		steps, small = 3, "tiny"
	}
	var ticks []float64
	d.rates, ticks = RoundScale(u.Value(format.MassRate, s.low), u.Value(format.MassRate, s.high), steps, frame.top, frame.bottom)
	for _, v := range ticks {
		d.Line("rule", frame.left, d.rates.Y(v), frame.right, d.rates.Y(v))
		d.Text(small, "end", frame.left-6, d.rates.Y(v)+4, format.Tick(v))
	}
	for _, n := range ExperienceTicks {
		if n > s.most {
			break
		}
		d.Line("rule", d.x(n), frame.bottom, d.x(n), frame.bottom+5)
		d.Text(small, "middle", d.x(n), frame.bottom+18, format.Tick(float64(n)))
	}
	if !frame.isSmall {
		d.Text("small strong", "start", 0, frame.top-14, u.UnitWords("rate, lb per lane-mile"))
		d.Text("small strong", "middle", (frame.left+frame.right)/2, frame.bottom+40,
			u.UnitWords("{acetate} storms worked before; every step to the right is a doubling of 1 + storms"))
	} else {
		d.Text("tiny", "middle", (frame.left+frame.right)/2, frame.bottom+34, u.UnitWords("{acetate} storms worked before"))
	}
	return d
}

// x is the place of so many storms worked.
func (d *curveDrawing) x(storms int64) float64 {
	return d.frame.left + (d.frame.right-d.frame.left)*math.Log2(1+float64(storms))/d.most
}

// y is the place of a rate in pounds per lane-mile, kept inside the frame.
func (d *curveDrawing) y(rate float64) float64 {
	return min(max(d.rates.Y(d.Value(format.MassRate, rate)), d.frame.top), d.frame.bottom)
}

func (d *curveDrawing) band(style string, curve []rows.LearningCurve) {
	var upper, lower []point
	for _, p := range curve {
		if p.RateLow90 != nil && p.RateHigh90 != nil {
			upper = append(upper, point{x: d.x(p.PriorStorms), y: d.y(*p.RateHigh90)})
			lower = append(lower, point{x: d.x(p.PriorStorms), y: d.y(*p.RateLow90)})
		}
	}
	d.area(style, upper, lower)
}

func (d *curveDrawing) fitted(style string, curve []rows.LearningCurve) []point {
	var points []point
	for _, p := range curve {
		points = append(points, point{x: d.x(p.PriorStorms), y: d.y(*p.Rate)})
	}
	d.curve(style, points)
	return points
}

func (d *curveDrawing) points(points []book.RatePoint, radius float64, title func(book.RatePoint) string) {
	for _, p := range points {
		style := "ratedot"
		if p.IsOutlier {
			style += " outlier"
		}
		fmt.Fprintf(&d.Body, `<circle class="%s" cx="%s" cy="%s" r="%s">%s</circle>`, style, px(d.x(p.Prior)), px(d.y(p.Rate)), px(radius),
			titled(title(p)))
	}
}

// startBand draws where acetate usually begins: 1.25 to 1.50 times the salt rate that the fits put beside a first storm.
func (d *curveDrawing) startBand(l *rows.Learning) {
	if l == nil || l.StartRate == nil || l.StartRatio == nil || *l.StartRatio <= 0 {
		return
	}
	salt := *l.StartRate / *l.StartRatio
	high, low := d.y(salt*rows.StartBandHigh), d.y(salt*rows.StartBandLow)
	if low-high < 1 {
		return
	}
	right := d.frame.left + 26
	d.rect("startband", d.frame.left, high, right-d.frame.left, low-high,
		d.Sprintf("1.25 to 1.50 times {salt}: %s to %s lb per lane-mile", d.Rate(new(salt*rows.StartBandLow)),
			d.Rate(new(salt*rows.StartBandHigh))))
	d.Text("tiny halo", "start", right+4, high+4, d.UnitWords("1.50 × {salt}"))
	d.Text("tiny halo", "start", right+4, low+4, d.UnitWords("1.25 × {salt}"))
}

// order marks the experience at which an order took effect; where crews differ it is a stretch.
func (d *curveDrawing) order(first, last int64, name string) {
	left, right := d.x(first), d.x(last)
	d.Line("orderline", left, d.frame.top, left, d.frame.bottom)
	if right > left+1 {
		d.Line("orderline", right, d.frame.top, right, d.frame.bottom)
		d.Line("orderline", left, d.frame.top, right, d.frame.top)
	}
	d.Text("tiny halo", "middle", (left+right)/2, d.frame.top-3, name)
}

// CommonCurve draws every rate of the fit, the common curve with its band, the band of usual beginnings and the orders.
func CommonCurve(b *book.Book, points []book.RatePoint, s CurveScales) template.HTML {
	l := b.LearningOf(rows.AllCrews)
	d := newCurveDrawing(b.Units, wideFrame, s, words.Say(b.Units, "curve label", len(points)))
	d.points(points, 2.5, func(p book.RatePoint) string {
		if !b.NamesCrews() {
			return words.Say(b.Units, "unnamed rate title", p)
		}
		return words.Say(b.Units, "rate title", p)
	})
	curve := CurveOf(b, rows.AllCrews)
	d.band("fitband", curve)
	d.startBand(l)
	for i, o := range b.FittedOrders() {
		if first, last, found := b.ExperienceAt(o, points); found {
			d.order(first, last, fmt.Sprintf("order %d", i+1))
		}
	}
	if fitted := d.fitted("fitline", curve); len(fitted) > 0 {
		end := fitted[len(fitted)-1]
		d.Text("small strong", "start", end.x+8, end.y+4, "common curve")
		d.Text("small", "start", end.x+8, end.y+18, "with 90 % interval")
	}
	return d.Html()
}

// CrewCurve draws one crew's rates and curve, with the common curve thin behind it.
func CrewCurve(b *book.Book, crewID string, points []book.RatePoint, s CurveScales) template.HTML {
	own := book.Where(points, func(p book.RatePoint) bool { return p.CrewID == crewID })
	d := newCurveDrawing(b.Units, smallFrame, s, words.Say(b.Units, "crew curve label", len(own), crewID))
	d.points(own, 2, func(p book.RatePoint) string {
		return words.Say(b.Units, "rate title", p)
	})
	d.band("fitband", CurveOf(b, crewID))
	d.fitted("fitline common", CurveOf(b, rows.AllCrews))
	for i, o := range b.FittedOrders() {
		if first, _, found := b.ExperienceAt(o, own); found {
			d.order(first, first, fmt.Sprintf("order %d", i+1))
		}
	}
	d.fitted("fitline", CurveOf(b, crewID))
	return d.Html()
}
