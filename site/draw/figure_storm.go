package draw

import (
	"html/template"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/words"
)

// Measures of the storm figure, in pixels.
const (
	stormWidth      = 960.0
	stormLeft       = 170.0
	stormRight      = 960.0 - 130
	airTop          = 34.0
	airBottom       = 150.0
	waterTop        = 172.0
	waterBottom     = 222.0
	kindTop         = 240.0
	kindRowHeight   = 15.0
	windTop         = 320.0
	windBottom      = 368.0
	sightTop        = 390.0
	sightBottom     = 430.0
	laneTop         = 474.0
	laneHeight      = 24.0
	MarginBesides   = 2 * time.Hour
	longestBesides  = 48 * time.Hour
	nearestHourTick = 26.0
)

// stormFigure draws a storm in one zone: air and pavement temperature, water, wind, and beneath on the same time axis
// the passes of each route, with its rate and the hours to bare lane.
type stormFigure struct {
	Drawing
	book  *book.Book
	storm rows.Storm
	time  span
	rows  []rows.StormRoute
	lanes []string // route_ids
}

// StormFigure draws the storm of a zone in that zone.
func StormFigure(b *book.Book, storm rows.Storm) template.HTML {
	f := &stormFigure{book: b, storm: storm, rows: b.RowsInZone(storm)}
	for _, row := range f.rows {
		if n := len(f.lanes); n == 0 || f.lanes[n-1] != row.RouteID {
			f.lanes = append(f.lanes, row.RouteID)
		}
	}
	f.Width, f.Height = stormWidth, laneTop+laneHeight*float64(max(len(f.lanes), 1))+34
	f.Label = words.Say(b.Units, "storm label", storm.StormID, b.ZoneName(storm.ZoneID))
	f.time = f.spanOf()
	f.drawTime()
	bins := hourly(b.Weather(storm.ZoneID, f.time.begin, f.time.end))
	f.drawTemperature(bins)
	f.drawWater(bins)
	f.drawKinds()
	f.drawWind(bins)
	f.drawSight(bins)
	f.drawLanes()
	return f.Html()
}

// spanOf reaches from the first pass or the storm's begin to the last pass, the storm's end or the last bare lane.
func (f *stormFigure) spanOf() span {
	begin, end := f.storm.BeganAt, f.storm.EndedAt
	for _, pass := range f.book.PassesByStorm[book.StormZone{StormID: f.storm.StormID, ZoneID: f.storm.ZoneID}] {
		begin, end = earlier(begin, pass.BeganAt), later(end, pass.EndedAt)
	}
	for _, row := range f.rows {
		if row.RegainH != nil {
			end = later(end, f.bareAt(row))
		}
	}
	begin = later(begin, f.storm.BeganAt.Add(-longestBesides)).Add(-MarginBesides)
	end = earlier(end, f.storm.EndedAt.Add(longestBesides)).Add(MarginBesides)
	return span{begin.Truncate(time.Hour), end.Add(time.Hour).Truncate(time.Hour), stormLeft, stormRight}
}

func (f *stormFigure) bareAt(row rows.StormRoute) time.Time {
	return f.storm.EndedAt.Add(time.Duration(*row.RegainH * float64(time.Hour)))
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// drawTime shades the storm and draws hours and dates in the district's zone.
func (f *stormFigure) drawTime() {
	bottom := f.Height - 30
	style := "stormband"
	if f.storm.IsOpen {
		style += " open"
	}
	f.rect(style, f.time.x(f.storm.BeganAt), airTop-8, max(f.time.x(f.storm.EndedAt)-f.time.x(f.storm.BeganAt), 2), bottom-airTop+8, "")
	f.drawEnds(bottom)
	step := f.hourStep()
	for t := f.time.begin; !t.After(f.time.end); t = t.Add(time.Hour) {
		local := t.In(f.book.Clock.Zone)
		if local.Hour()%step != 0 || local.Minute() != 0 {
			continue
		}
		x := f.time.x(t)
		if local.Hour() == 0 {
			f.Line("rule strongrule", x, airTop, x, bottom)
			f.Text("small strong", "middle", x, bottom+28, f.book.Clock.DayShort(t))
		} else {
			f.Line("rule", x, airTop, x, bottom)
		}
		f.Text("small", "middle", x, bottom+14, f.book.Clock.Hour(t))
	}
}

// closeEnds is the distance in pixels below which the words at a storm's onset stand to the left of it.
const closeEnds = 96.0

// drawEnds marks the storm's onset and end with their hours.
func (f *stormFigure) drawEnds(bottom float64) {
	began, ended := f.time.x(f.storm.BeganAt), f.time.x(f.storm.EndedAt)
	f.Line("onset", began, airTop-10, began, bottom)
	onset := "onset " + f.book.Clock.Hour(f.storm.BeganAt)
	if ended-began < closeEnds {
		f.Text("small strong", "end", began-3, airTop-14, onset)
	} else {
		f.Text("small strong", "start", began+3, airTop-14, onset)
	}
	if f.storm.IsOpen {
		f.Text("small strong", "start", ended+3, airTop-14, "still open")
		return
	}
	f.Line("onset", ended, airTop-10, ended, bottom)
	f.Text("small strong", "start", ended+3, airTop-14, "end "+f.book.Clock.Hour(f.storm.EndedAt))
}

// hourStep is the number of hours between two time marks that leaves room for their labels.
func (f *stormFigure) hourStep() int {
	perHour := (f.time.right - f.time.left) / f.time.end.Sub(f.time.begin).Hours()
	for _, step := range []int{1, 2, 3, 4, 6, 12} {
		if perHour*float64(step) >= nearestHourTick+12 {
			return step
		}
	}
	return 24
}

// bin is one hour of a zone's weather: means over its reports; water is the mean over stations of their sums.
type bin struct {
	at                     time.Time
	airF, surfaceF, windMi *float64
	waterIn, sightMi       *float64
}

// hourly gathers observations, which are in time order, into whole hours. An hour without a report has no bin.
func hourly(list []rows.Observation) []bin {
	var bins []bin
	for first := 0; first < len(list); {
		at, last := list[first].ObservedAt.Truncate(time.Hour), first
		for last < len(list) && list[last].ObservedAt.Truncate(time.Hour).Equal(at) {
			last++
		}
		part := list[first:last]
		bins = append(bins, bin{at: at,
			airF:     meanOf(part, func(o rows.Observation) *float64 { return o.AirF }),
			surfaceF: meanOf(part, func(o rows.Observation) *float64 { return o.SurfaceF }),
			windMi:   meanOf(part, func(o rows.Observation) *float64 { return o.WindMph }),
			sightMi:  meanOf(part, func(o rows.Observation) *float64 { return o.VisibilityMi }),
			waterIn:  waterOf(part)})
		first = last
	}
	return bins
}

func meanOf(list []rows.Observation, value func(rows.Observation) *float64) *float64 {
	sum, n := 0.0, 0.0
	for _, o := range list {
		if v := value(o); v != nil {
			sum, n = sum+*v, n+1
		}
	}
	return rows.RatioOf(sum, n)
}

// waterOf sums precip_in and divides by the number of stations that reported it.
func waterOf(list []rows.Observation) *float64 {
	sum, stations := 0.0, map[string]bool{}
	for _, o := range list {
		if o.PrecipIn != nil {
			sum += *o.PrecipIn
			stations[o.StationID] = true
		}
	}
	return rows.RatioOf(sum, float64(len(stations)))
}
