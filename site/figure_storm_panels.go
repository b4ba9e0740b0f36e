package site

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"
)

// tick writes a value of an axis without needless decimals.
func tick(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

// panel draws the frame of one quantity: name, unit and steps at the left.
func (f *stormFigure) panel(name, unit string, s scale, ticks []float64) {
	for _, v := range ticks {
		f.line("rule", stormLeft, s.y(v), stormRight, s.y(v))
		f.text("small", "end", stormLeft-6, s.y(v)+4, tick(v))
	}
	f.text("strong", "start", 4, s.top+12, name)
	f.text("small", "start", 4, s.top+27, unit)
}

// trace turns bins into a curve that breaks where an hour is missing.
func (f *stormFigure) trace(bins []bin, s scale, value func(bin) *float64) []point {
	var points []point
	for i, b := range bins {
		if i > 0 && b.at.Sub(bins[i-1].at) > time.Hour {
			points = append(points, point{isGap: true})
		}
		if b.at.Add(30 * time.Minute).After(f.time.end) {
			break
		}
		if v := value(b); v != nil {
			points = append(points, point{x: f.time.x(b.at.Add(30 * time.Minute)), y: s.y(*v)})
		} else {
			points = append(points, point{isGap: true})
		}
	}
	return points
}

// extent is the least and greatest of the values; found is false where all are missing.
func extent(bins []bin, values ...func(bin) *float64) (low, high float64, found bool) {
	for _, b := range bins {
		for _, value := range values {
			v := value(b)
			switch {
			case v == nil:
			case !found:
				low, high, found = *v, *v, true
			default:
				low, high = min(low, *v), max(high, *v)
			}
		}
	}
	return low, high, found
}

func (f *stormFigure) drawTemperature(bins []bin) {
	air := func(b bin) *float64 { return b.airF }
	surface := func(b bin) *float64 { return b.surfaceF }
	low, high, found := extent(bins, air, surface)
	if !found {
		f.nothing("Temperature", "no reports", airTop, airBottom)
		return
	}
	s, ticks := roundScale(min(low, freezingF-4), max(high, freezingF+4), 4, airTop, airBottom)
	f.panel("Temperature", "°F, hourly mean", s, ticks)
	f.line("freezing", stormLeft, s.y(freezingF), stormRight, s.y(freezingF))
	airPoints, surfacePoints := f.trace(bins, s, air), f.trace(bins, s, surface)
	f.curve("curve air", airPoints)
	f.curve("curve surface", surfacePoints)
	f.endLabels(airPoints, surfacePoints, s.y(freezingF))
}

// endLabels names the curves and the freezing line at their right ends, one beneath the other.
func (f *stormFigure) endLabels(air, surface []point, freezingY float64) {
	labels := []endLabel{{freezingY, "32 freezing", "small"}}
	if y, found := lastY(air); found {
		labels = append(labels, endLabel{y, "air", "small"})
	}
	if y, found := lastY(surface); found {
		labels = append(labels, endLabel{y, "pavement", "small strong"})
	}
	for _, label := range spread(labels) {
		f.text(label.style, "start", stormRight+6, label.y+4, label.text)
	}
}

// endLabel is a text at the right end of a curve.
type endLabel struct {
	y           float64
	text, style string
}

// labelHeight is the room that one line of small text needs, in pixels.
const labelHeight = 13.0

// spread sorts labels from top to bottom and moves them apart, each as little as it needs, about their common middle.
func spread(labels []endLabel) []endLabel {
	slices.SortStableFunc(labels, func(x, y endLabel) int { return cmp.Compare(x.y, y.y) })
	before := 0.0
	for _, label := range labels {
		before += label.y
	}
	for i := 1; i < len(labels); i++ {
		labels[i].y = max(labels[i].y, labels[i-1].y+labelHeight)
	}
	after := 0.0
	for _, label := range labels {
		after += label.y
	}
	shift := (after - before) / float64(len(labels))
	for i := range labels {
		labels[i].y -= shift
	}
	return labels
}

func lastY(points []point) (y float64, found bool) {
	for _, p := range points {
		if !p.isGap {
			y, found = p.y, true
		}
	}
	return y, found
}

func (f *stormFigure) drawWater(bins []bin) {
	water := func(b bin) *float64 { return b.waterIn }
	_, high, found := extent(bins, water)
	if !found {
		f.nothing("Water", "no reports", waterTop, waterBottom)
		return
	}
	s, ticks := roundScale(0, max(high, 0.02), 2, waterTop, waterBottom)
	f.panel("Water", "in per hour", s, ticks)
	for _, b := range bins {
		if b.waterIn == nil || *b.waterIn == 0 {
			continue
		}
		x, right := f.time.x(b.at), f.time.x(b.at.Add(time.Hour))
		f.rect("water", x+0.5, s.y(*b.waterIn), max(right-x-1, 1), s.bottom-s.y(*b.waterIn), f.book.clock.moment(b.at)+": "+inches(b.waterIn)+" in")
	}
}

func (f *stormFigure) drawWind(bins []bin) {
	wind := func(b bin) *float64 { return b.windMi }
	_, high, found := extent(bins, wind)
	if !found {
		f.nothing("Wind", "no reports", windTop, windBottom)
		return
	}
	s, ticks := roundScale(0, max(high, 10), 2, windTop, windBottom)
	f.panel("Wind", "mph, hourly mean", s, ticks)
	f.curve("curve wind", f.trace(bins, s, wind))
}

func (f *stormFigure) nothing(name, why string, top, bottom float64) {
	f.text("strong", "start", 4, top+12, name)
	f.text("small", "middle", (stormLeft+stormRight)/2, (top+bottom)/2+4, why)
}

// drawLanes draws one line a route: its passes, when bare lane was reported, its rate and hours to bare lane.
func (f *stormFigure) drawLanes() {
	f.text("strong", "start", 4, laneTop-10, "Passes by route")
	f.text("small", "end", stormRight+62, laneTop-22, "rate, lb per")
	f.text("small", "end", stormRight+62, laneTop-10, "lane-mile")
	f.text("small", "end", stormRight+126, laneTop-22, "hours")
	f.text("small", "end", stormRight+126, laneTop-10, "to bare")
	if len(f.lanes) == 0 {
		f.text("small", "middle", (stormLeft+stormRight)/2, laneTop+16, "no pass reported")
		return
	}
	passes := grouped(f.book.passesByStorm[stormZone{f.storm.StormID, f.storm.ZoneID}], func(p StormPass) string { return p.RouteID })
	for i, routeID := range f.lanes {
		y := laneTop + laneHeight*float64(i)
		f.line("rule", 4, y+laneHeight, stormRight+126, y+laneHeight)
		f.text("small", "start", 4, y+16, shortened(f.book.routeName(routeID), 26))
		for _, pass := range passes[routeID] {
			f.drawPass(pass, y)
		}
		f.drawOutcome(routeID, y)
	}
}

// drawPass draws one pass as a bar: solids high, liquids half as high, plow-only passes as a thin outline.
func (f *stormFigure) drawPass(pass StormPass, y float64) {
	class, height := "", 6.0
	if pass.IsTreating {
		class, height = pass.MaterialClass, 14
		if pass.Form == liquid {
			height = 7
		}
	}
	left, right := max(f.time.x(pass.BeganAt), stormLeft), min(f.time.x(pass.EndedAt), stormRight)
	if right < stormLeft || left > stormRight {
		return
	}
	f.rect("pass "+classStyle(class), left, y+(laneHeight-height)/2, max(right-left, 2), height, f.passTitle(pass, class))
}

func (f *stormFigure) passTitle(pass StormPass, class string) string {
	what := "plowed only"
	if class != "" {
		what = pass.MaterialID + ", " + pounds(pass.AppliedLb) + " lb on " + laneMiles(pass.LaneMiles) + " lane-miles"
	}
	return fmt.Sprintf("%s to %s, truck %s: %s", f.book.clock.moment(pass.BeganAt), f.book.clock.hour(pass.EndedAt), pass.TruckID, what)
}

// drawOutcome writes the route's solid rate and road state, and marks when bare lane was reported.
func (f *stormFigure) drawOutcome(routeID string, y float64) {
	isRated := false
	for _, row := range f.rows {
		if row.RouteID != routeID {
			continue
		}
		if !isRated && row.Form == solid && row.MaterialClass != abrasive && row.RateLbPerLaneMi != nil {
			f.mark(row.MaterialClass, false, stormRight+14, y+12, 4, row.MaterialClass)
			f.text("small figure", "end", stormRight+62, y+16, pounds(row.RateLbPerLaneMi))
			isRated = true
		}
	}
	row := f.firstRow(routeID)
	f.text("small figure", "end", stormRight+126, y+16, regain(row))
	if row.RegainH != nil && !f.bareAt(row).After(f.time.end) {
		x := f.time.x(f.bareAt(row))
		f.line("bare", x, y+3, x, y+laneHeight-3)
		f.text("tiny halo", "start", x+3, y+11, "bare")
	}
}

func (f *stormFigure) firstRow(routeID string) StormRoute {
	for _, row := range f.rows {
		if row.RouteID == routeID {
			return row
		}
	}
	return StormRoute{}
}

// regain writes hours to bare lane, or the state in words where there are none.
func regain(row StormRoute) string {
	if row.RegainH != nil {
		return hours(row.RegainH)
	}
	if row.RegainState == "" {
		return missing
	}
	return row.RegainState
}

// shortened cuts a text to so many characters and says so with an ellipsis.
func shortened(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most-1]) + "…"
}
