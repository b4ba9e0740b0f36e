package draw

import (
	"cmp"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// panel draws the frame of one quantity: name, unit and steps at the left.
func (f *stormFigure) panel(name, unit string, s scale, ticks []float64) {
	for _, v := range ticks {
		f.Line("rule", stormLeft, s.Y(v), stormRight, s.Y(v))
		f.Text("small", "end", stormLeft-6, s.Y(v)+4, format.Tick(v))
	}
	f.Text("strong", "start", 4, s.top+12, name)
	f.Text("small", "start", 4, s.top+27, unit)
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
			points = append(points, point{x: f.time.x(b.at.Add(30 * time.Minute)), y: s.Y(*v)})
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
	air := func(b bin) *float64 { return f.book.ValueOf(format.Temperature, b.airF) }
	surface := func(b bin) *float64 { return f.book.ValueOf(format.Temperature, b.surfaceF) }
	low, high, found := extent(bins, air, surface)
	if !found {
		f.nothing("Temperature", "no reports", airTop, airBottom)
		return
	}
	s, ticks := RoundScale(min(low, f.book.Value(format.Temperature, rows.FreezingF-4)),
		max(high, f.book.Value(format.Temperature, rows.FreezingF+4)), 4, airTop, airBottom)
	f.panel("Temperature", f.book.UnitWords("°F, hourly mean"), s, ticks)
	freezing := f.book.Value(format.Temperature, rows.FreezingF)
	f.Line("freezing", stormLeft, s.Y(freezing), stormRight, s.Y(freezing))
	airPoints, surfacePoints := f.trace(bins, s, air), f.trace(bins, s, surface)
	f.curve("curve air", airPoints)
	f.curve("curve surface", surfacePoints)
	f.endLabels(airPoints, surfacePoints, s.Y(freezing))
}

// endLabels names the curves and the freezing line at their right ends, one beneath the other.
func (f *stormFigure) endLabels(air, surface []point, freezingY float64) {
	labels := []endLabel{{freezingY, format.Tick(f.book.Value(format.Temperature, rows.FreezingF)) + " freezing", "small"}}
	if y, found := lastY(air); found {
		labels = append(labels, endLabel{y, "air", "small"})
	}
	if y, found := lastY(surface); found {
		labels = append(labels, endLabel{y, "pavement", "small strong"})
	}
	for _, label := range spread(labels) {
		f.Text(label.style, "start", stormRight+6, label.y+4, label.text)
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
	fallen := func(b bin) *float64 { return f.book.ValueOf(format.Water, b.waterIn) }
	_, high, found := extent(bins, fallen)
	if !found {
		f.nothing("Water", "no reports", waterTop, waterBottom)
		return
	}
	s, ticks := RoundScale(0, max(high, f.book.Value(format.Water, 0.02)), 2, waterTop, waterBottom)
	f.panel("Water", f.book.UnitWords("in per hour"), s, ticks)
	for _, b := range bins {
		depth := fallen(b)
		if rows.OrZero(depth) == 0 {
			continue
		}
		x, right := f.time.x(b.at), f.time.x(b.at.Add(time.Hour))
		f.rect("water", x+0.5, s.Y(*depth), max(right-x-1, 1), s.bottom-s.Y(*depth),
			f.book.Clock.Moment(b.at)+": "+f.book.Inches(b.waterIn)+" "+f.book.Inch())
	}
}

func (f *stormFigure) drawWind(bins []bin) {
	wind := func(b bin) *float64 { return f.book.ValueOf(format.Speed, b.windMi) }
	_, high, found := extent(bins, wind)
	if !found {
		f.nothing("Wind", "no reports", windTop, windBottom)
		return
	}
	caution := f.book.Value(format.Speed, f.book.Setting("wind_caution_mph"))
	s, ticks := RoundScale(0, max(high, caution*1.1, f.book.Value(format.Speed, 10)), 2, windTop, windBottom)
	f.panel("Wind", f.book.UnitWords("mph, hourly mean"), s, ticks)
	if caution > 0 {
		f.Line("cautionline", stormLeft, s.Y(caution), stormRight, s.Y(caution))
		f.Text("small", "start", stormRight+6, s.Y(caution)+4, "caution, "+f.book.Mph(new(f.book.Setting("wind_caution_mph"))))
	}
	f.curve("curve wind", f.trace(bins, s, wind))
}

func (f *stormFigure) nothing(name, why string, top, bottom float64) {
	f.Text("strong", "start", 4, top+12, name)
	f.Text("small", "middle", (stormLeft+stormRight)/2, (top+bottom)/2+4, why)
}
