package site

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"
)

// Measures of the comparison's picture, in pixels.
const (
	compareWidth  = 960.0
	compareLeft   = 160.0
	compareRight  = 840.0
	compareTop    = 34.0
	panelHeight   = 110.0
	panelGap      = 26.0
	roadRowHeight = 15.0 // a line of small numbers beneath a zone's panel
	turnedHeight  = 30.0 // the same where there is no room but for turned numbers
	ratioHeight   = 190.0
	fewestLogSpan = 1.2 // an axis spans at least this factor
)

// logScale maps values above 0 onto pixels by their logarithm, low at the bottom.
type logScale struct{ low, high, top, bottom float64 }

func (s logScale) y(v float64) float64 {
	return s.bottom - (s.bottom-s.top)*(math.Log(v)-math.Log(s.low))/(math.Log(s.high)-math.Log(s.low))
}

// ticksOf lists the steps of an axis that lie inside it.
func (s logScale) ticksOf(steps []float64) []float64 {
	var inside []float64
	for _, v := range steps {
		if v >= s.low*0.999 && v <= s.high*1.001 {
			inside = append(inside, v)
		}
	}
	return inside
}

var ratioSteps = []float64{0.1, 0.2, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 5, 10}
var massSteps = []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000}

// spanningLog is the log scale from a step below the least value to one above the greatest.
func spanningLog(values, steps []float64, top, bottom float64) logScale {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if v > 0 {
			low, high = min(low, v), max(high, v)
		}
	}
	if low > high {
		low, high = steps[len(steps)/2-1], steps[len(steps)/2+1]
	}
	below, above := low/fewestLogSpan, high*fewestLogSpan
	for _, v := range steps {
		if v <= low {
			below = v
		}
	}
	for i := len(steps) - 1; i >= 0; i-- {
		if steps[i] >= high {
			above = steps[i]
		}
	}
	if above/below < fewestLogSpan {
		below, above = below/fewestLogSpan, above*fewestLogSpan
	}
	return logScale{below, above, top, bottom}
}

// comparisonDrawing sets a season's storms side by side: pounds of both classes zone by zone, beneath them the ratios.
type comparisonDrawing struct {
	drawing
	book   *book
	rows   []Comparison
	storms []string
	zones  []string
}

func (b *book) comparisonFigure(season string, rows []Comparison) template.HTML {
	d := &comparisonDrawing{book: b, rows: rows}
	d.storms = comparedIDs(rows)
	d.zones = zonesOf(rows)
	d.width, d.height = compareWidth, compareTop+float64(len(d.zones))*(panelHeight+d.roadsHeight()+panelGap)+ratioHeight+44
	d.label = pairsLabel(b.units, len(d.storms), season)
	var masses []float64
	for _, row := range rows {
		masses = append(masses, b.value(massRate, orZero(row.AcetateStormLb)), b.value(massRate, orZero(row.ChlorideStormLb)))
	}
	d.text("small strong", "start", 0, compareTop-14, b.unitWords("pounds per lane-mile of route, log scale"))
	for i, class := range b.sides() {
		x := compareRight - 170 + 85*float64(i)
		d.mark(b.sign(class), false, x, compareTop-18, 4, "")
		d.text("small", "start", x+9, compareTop-14, class)
	}
	top, bottom := compareTop, d.height-30
	d.orders(marks(b.comparisonOrders(rows)), bottom)
	for _, zone := range d.zones {
		d.zonePanel(zone, spanningLog(masses, massSteps, top, top+panelHeight))
		d.roadLines(zone, top+panelHeight+4)
		top += panelHeight + d.roadsHeight() + panelGap
	}
	d.ratioPanel(b.comparisonOf(season), b.setting("same_margin"), bottom-ratioHeight)
	return d.html()
}

// comparedIDs lists the storms of rows in the storms' order, each once.
func comparedIDs(rows []Comparison) []string {
	return stormsIn(rows, func(r Comparison) string { return r.StormID })
}

// comparisonOrders are the orders that took effect among a season's compared storms.
func (b *book) comparisonOrders(rows []Comparison) []placedOrder {
	var begins []time.Time
	for _, id := range comparedIDs(rows) {
		begins = append(begins, b.began(id))
	}
	return b.placeOrders(begins, func(Order) bool { return true })
}

// orders draws a dotted line through all panels before the first storm that an order held in; what is drawn later lies over it.
func (d *comparisonDrawing) orders(list []orderMark, bottom float64) {
	for _, order := range list {
		x := compareLeft + d.step()*float64(order.at)
		d.line("orderline", x, compareTop, x, bottom)
		d.text("tiny halo", "middle", x, compareTop-3, order.name)
	}
}

func zonesOf(rows []Comparison) []string {
	seen := map[string]bool{}
	var zones []string
	for _, row := range rows {
		if !seen[row.ZoneID] {
			seen[row.ZoneID] = true
			zones = append(zones, row.ZoneID)
		}
	}
	slices.Sort(zones)
	return zones
}

func (d *comparisonDrawing) x(stormID string) float64 {
	return compareLeft + d.step()*(float64(slices.Index(d.storms, stormID))+0.5)
}

// step is the width of a storm.
func (d *comparisonDrawing) step() float64 {
	return (compareRight - compareLeft) / float64(max(len(d.storms), 1))
}

// zonePanel draws each storm's pair of one zone: a disc for acetate routes and a diamond for chloride routes, joined.
func (d *comparisonDrawing) zonePanel(zone string, s logScale) {
	for _, v := range s.ticksOf(massSteps) {
		d.line("rule", compareLeft, s.y(v), compareRight, s.y(v))
		d.text("small", "end", compareLeft-6, s.y(v)+4, tick(v))
	}
	d.text("small strong", "start", 0, s.top+12, shortened(d.book.zoneName(zone), 16))
	for _, row := range d.rows {
		if row.ZoneID != zone {
			continue
		}
		x := d.x(row.StormID)
		ac, cl := d.book.value(massRate, orZero(row.AcetateStormLb)), d.book.value(massRate, orZero(row.ChlorideStormLb))
		title := pairTitle(d.book.units, row)
		if ac > 0 && cl > 0 {
			d.line("pair", x, s.y(ac), x, s.y(cl))
		}
		if cl > 0 {
			d.mark(chloride, row.StormRatio == nil, x, s.y(cl), 3.4, title)
		}
		if ac > 0 {
			d.mark(acetate, row.StormRatio == nil, x, s.y(ac), 3.4, title)
		}
	}
}

// isCrowded tells whether numbers beneath the storms must be turned.
func (d *comparisonDrawing) isCrowded() bool { return d.step() < 26 }

func (d *comparisonDrawing) roadsHeight() float64 {
	if d.isCrowded() {
		return 3 * turnedHeight
	}
	return 3 * roadRowHeight
}

// roadLines writes beneath a zone's pounds, storm by storm, when its lanes were bare and how cold the air was: pounds never stand without them.
func (d *comparisonDrawing) roadLines(zone string, top float64) {
	height := d.roadsHeight() / 3
	for i, head := range roadHeads(d.book.units) {
		d.text("tiny", "start", 0, top+height*(float64(i)+0.5)+4, head)
	}
	for _, row := range d.rows {
		if row.ZoneID != zone {
			continue
		}
		storm, _ := d.book.zoneRow(row.StormID, zone)
		for i, text := range []string{hours(row.AcetateRegainH), hours(row.ChlorideRegainH), d.book.degrees(storm.AirFMean)} {
			x, y := d.x(row.StormID), top+height*(float64(i)+0.5)
			if d.isCrowded() {
				d.turned("tiny", x+3, y, text)
			} else {
				d.text("tiny", "middle", x, y+4, text)
			}
		}
	}
}

// ratioPanel draws each row's ratio, the band of the same-margin, and the season's ratio with its interval at the right.
func (d *comparisonDrawing) ratioPanel(season *Comparison, margin, top float64) {
	values := []float64{1 / (1 + margin), 1 + margin}
	for _, row := range d.rows {
		values = append(values, orZero(row.StormRatio))
	}
	s := spanningLog(values, ratioSteps, top, top+ratioHeight)
	d.text("small strong halo", "start", 0, top-8, sameBandWords(d.book.units, margin))
	if margin > 0 {
		d.rect("sameband", compareLeft, s.y(1+margin), compareRight-compareLeft, s.y(1/(1+margin))-s.y(1+margin), "")
	}
	for _, v := range s.ticksOf(ratioSteps) {
		style := "rule"
		if v == 1 {
			style = "rule strongrule"
		}
		d.line(style, compareLeft, s.y(v), compareRight, s.y(v))
		d.text("small", "end", compareLeft-6, s.y(v)+4, tick(v))
	}
	for _, row := range d.rows {
		if row.StormRatio != nil {
			fmt.Fprintf(&d.body, `<circle class="ratiodot" cx="%s" cy="%s" r="3.4">%s</circle>`, px(d.x(row.StormID)), px(s.y(*row.StormRatio)),
				titled(fmt.Sprintf("%s, %s: %s", row.StormID, d.book.zoneName(row.ZoneID), ratios(row.StormRatio))))
		}
	}
	d.seasonMark(season, s)
	d.dates(s.bottom)
}

func (d *comparisonDrawing) seasonMark(season *Comparison, s logScale) {
	if season == nil || season.TotalRatio == nil || *season.TotalRatio <= 0 {
		return
	}
	x := compareRight + 18
	if season.Low90 != nil && season.High90 != nil && *season.Low90 > 0 {
		low, high := max(*season.Low90, s.low), min(*season.High90, s.high)
		d.line("seasonbar", x, s.y(low), x, s.y(high))
	}
	y := s.y(min(max(*season.TotalRatio, s.low), s.high))
	d.line("seasontick", x-7, y, x+7, y)
	d.text("small strong", "start", x+12, y-2, "season "+ratios(season.TotalRatio))
	d.text("small", "start", x+12, y+12, interval(season.Low90, season.High90, ratios))
}

// dates writes the storms' dates beneath, as many as there is room for.
func (d *comparisonDrawing) dates(bottom float64) {
	every := 1 + len(d.storms)*52/int(compareRight-compareLeft)
	for i, id := range d.storms {
		if e := d.book.eventByID[id]; e != nil && i%every == 0 {
			d.text("small", "middle", d.x(id), bottom+18, d.book.clock.dayShort(e.BeganAt))
		}
	}
}
