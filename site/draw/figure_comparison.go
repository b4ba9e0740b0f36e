package draw

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
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

// LogScale maps values above 0 onto pixels by their logarithm, low at the bottom.
type LogScale struct{ Low, High, Top, Bottom float64 }

// Y is the pixel of a value above 0.
func (s LogScale) Y(v float64) float64 {
	return s.Bottom - (s.Bottom-s.Top)*(math.Log(v)-math.Log(s.Low))/(math.Log(s.High)-math.Log(s.Low))
}

// TicksOf lists the steps of an axis that lie inside it.
func (s LogScale) TicksOf(steps []float64) []float64 {
	return book.Where(steps, func(v float64) bool { return v >= s.Low*0.999 && v <= s.High*1.001 })
}

var RatioSteps = []float64{0.1, 0.2, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 5, 10}
var MassSteps = []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000}

// SpanningLog is the log scale from a step below the least value to one above the greatest.
func SpanningLog(values, steps []float64, top, bottom float64) LogScale {
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
	return LogScale{below, above, top, bottom}
}

// comparisonDrawing sets a season's storms side by side: pounds of both classes zone by zone, beneath them the ratios.
type comparisonDrawing struct {
	Drawing
	book   *book.Book
	rows   []rows.Comparison
	storms []string
	zones  []string
}

// ComparisonFigure draws the compared storms of a season, one panel a zone, above the panel of ratios.
func ComparisonFigure(b *book.Book, season string, list []rows.Comparison) template.HTML {
	d := &comparisonDrawing{book: b, rows: list}
	d.storms = comparedIDs(list)
	d.zones = zonesOf(list)
	d.Width, d.Height = compareWidth, compareTop+float64(len(d.zones))*(panelHeight+d.roadsHeight()+panelGap)+ratioHeight+44
	d.Label = words.Say(b.Units, "pairs label", len(d.storms), season)
	var masses []float64
	for _, row := range list {
		masses = append(masses, b.Value(format.MassRate, rows.OrZero(row.AcetateStormLb)),
			b.Value(format.MassRate, rows.OrZero(row.ChlorideStormLb)))
	}
	d.Text("small strong", "start", 0, compareTop-14, b.UnitWords("pounds per lane-mile of route, log scale"))
	for i, class := range b.Sides() {
		x := compareRight - 170 + 85*float64(i)
		d.Mark(b.Sign(class), false, x, compareTop-18, 4, "")
		d.Text("small", "start", x+9, compareTop-14, class)
	}
	top, bottom := compareTop, d.Height-30
	d.orders(book.Marks(ComparisonOrders(b, list)), bottom)
	for _, zone := range d.zones {
		d.zonePanel(zone, SpanningLog(masses, MassSteps, top, top+panelHeight))
		d.roadLines(zone, top+panelHeight+4)
		top += panelHeight + d.roadsHeight() + panelGap
	}
	d.ratioPanel(b.ComparisonOf(season), b.Setting("same_margin"), bottom-ratioHeight)
	return d.Html()
}

// comparedIDs lists the storms of rows in the storms' order, each once.
func comparedIDs(list []rows.Comparison) []string {
	return book.StormsIn(list, func(r rows.Comparison) string { return r.StormID })
}

// ComparisonOrders are the orders that took effect among a season's compared storms.
func ComparisonOrders(b *book.Book, list []rows.Comparison) []book.PlacedOrder {
	var begins []time.Time
	for _, id := range comparedIDs(list) {
		begins = append(begins, b.Began(id))
	}
	return b.PlaceOrders(begins, func(rows.Order) bool { return true })
}

// orders draws a dotted line through all panels before the first storm that an order held in; what is drawn later lies over it.
func (d *comparisonDrawing) orders(list []book.OrderMark, bottom float64) {
	for _, order := range list {
		x := compareLeft + d.step()*float64(order.At)
		d.Line("orderline", x, compareTop, x, bottom)
		d.Text("tiny halo", "middle", x, compareTop-3, order.Name)
	}
}

func zonesOf(rows []rows.Comparison) []string {
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
func (d *comparisonDrawing) zonePanel(zone string, s LogScale) {
	for _, v := range s.TicksOf(MassSteps) {
		d.Line("rule", compareLeft, s.Y(v), compareRight, s.Y(v))
		d.Text("small", "end", compareLeft-6, s.Y(v)+4, format.Tick(v))
	}
	d.Text("small strong", "start", 0, s.Top+12, format.Shortened(d.book.ZoneName(zone), 16))
	for _, row := range d.rows {
		if row.ZoneID != zone {
			continue
		}
		x := d.x(row.StormID)
		ac, cl := d.book.Value(format.MassRate, rows.OrZero(row.AcetateStormLb)), d.book.Value(format.MassRate,
			rows.OrZero(row.ChlorideStormLb))
		title := words.Say(d.book.Units, "pair title", row)
		if ac > 0 && cl > 0 {
			d.Line("pair", x, s.Y(ac), x, s.Y(cl))
		}
		if cl > 0 {
			d.Mark(rows.Chloride, row.StormRatio == nil, x, s.Y(cl), 3.4, title)
		}
		if ac > 0 {
			d.Mark(rows.Acetate, row.StormRatio == nil, x, s.Y(ac), 3.4, title)
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

// roadLines writes beneath a zone's pounds, storm by storm, when its lanes were bare and how cold the air was: pounds never stand without
// them.
func (d *comparisonDrawing) roadLines(zone string, top float64) {
	height := d.roadsHeight() / 3
	for i, head := range words.RoadHeads(d.book.Units) {
		d.Text("tiny", "start", 0, top+height*(float64(i)+0.5)+4, head)
	}
	for _, row := range d.rows {
		if row.ZoneID != zone {
			continue
		}
		storm, _ := d.book.ZoneRow(row.StormID, zone)
		for i, text := range []string{format.Hours(row.AcetateRegainH), format.Hours(row.ChlorideRegainH), d.book.Degrees(storm.AirFMean)} {
			x, y := d.x(row.StormID), top+height*(float64(i)+0.5)
			if d.isCrowded() {
				d.turned("tiny", x+3, y, text)
			} else {
				d.Text("tiny", "middle", x, y+4, text)
			}
		}
	}
}

// ratioPanel draws each row's ratio, the band of the same-margin, and the season's ratio with its interval at the right.
func (d *comparisonDrawing) ratioPanel(season *rows.Comparison, margin, top float64) {
	values := []float64{1 / (1 + margin), 1 + margin}
	for _, row := range d.rows {
		values = append(values, rows.OrZero(row.StormRatio))
	}
	s := SpanningLog(values, RatioSteps, top, top+ratioHeight)
	d.Text("small strong halo", "start", 0, top-8, words.Say(d.book.Units, "same band", margin))
	if margin > 0 {
		d.rect("sameband", compareLeft, s.Y(1+margin), compareRight-compareLeft, s.Y(1/(1+margin))-s.Y(1+margin), "")
	}
	for _, v := range s.TicksOf(RatioSteps) {
		style := "rule"
		if v == 1 {
			style = "rule strongrule"
		}
		d.Line(style, compareLeft, s.Y(v), compareRight, s.Y(v))
		d.Text("small", "end", compareLeft-6, s.Y(v)+4, format.Tick(v))
	}
	for _, row := range d.rows {
		if row.StormRatio != nil {
			fmt.Fprintf(&d.Body, `<circle class="ratiodot" cx="%s" cy="%s" r="3.4">%s</circle>`, px(d.x(row.StormID)),
				px(s.Y(*row.StormRatio)),
				titled(fmt.Sprintf("%s, %s: %s", row.StormID, d.book.ZoneName(row.ZoneID), format.Ratios(row.StormRatio))))
		}
	}
	d.seasonMark(season, s)
	d.dates(s.Bottom)
}

func (d *comparisonDrawing) seasonMark(season *rows.Comparison, s LogScale) {
	if season == nil || season.TotalRatio == nil || *season.TotalRatio <= 0 {
		return
	}
	x := compareRight + 18
	if season.Low90 != nil && season.High90 != nil && *season.Low90 > 0 {
		low, high := max(*season.Low90, s.Low), min(*season.High90, s.High)
		d.Line("seasonbar", x, s.Y(low), x, s.Y(high))
	}
	y := s.Y(min(max(*season.TotalRatio, s.Low), s.High))
	d.Line("seasontick", x-7, y, x+7, y)
	d.Text("small strong", "start", x+12, y-2, "season "+format.Ratios(season.TotalRatio))
	d.Text("small", "start", x+12, y+12, format.Interval(season.Low90, season.High90, format.Ratios))
}

// dates writes the storms' dates beneath, as many as there is room for.
func (d *comparisonDrawing) dates(bottom float64) {
	every := 1 + len(d.storms)*52/int(compareRight-compareLeft)
	for i, id := range d.storms {
		if e := d.book.EventByID[id]; e != nil && i%every == 0 {
			d.Text("small", "middle", d.x(id), bottom+18, d.book.Clock.DayShort(e.BeganAt))
		}
	}
}
