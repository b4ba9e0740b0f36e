package land

import (
	"math"
	"slices"
	"time"
)

const reportStep = 20 * time.Minute

// Report is one station report, as written: every number already has the decimals that the file shows.
type Report struct {
	Zone         int
	At           time.Time
	AirF         float64
	SurfaceF     float64
	HasSurface   bool
	DewF         float64
	WindMph      float64
	GustMph      float64 // 0: none
	WindDeg      float64
	VisibilityMi float64
	PrecipIn     float64
	IsTrace      bool
	Wx           string
	SnowDepthIn  float64
	IsFaulty     bool // a stuck or jumping surface sensor, planted
}

// sky is what drives one station's reports through a season.
type sky struct {
	zone    int
	events  []event
	d       Draw
	front   []float64 // the district's slow swings of air temperature, one a step
	noise   float64
	gusty   float64
	bearing float64
	surface float64
	bucket  float64 // water that the gauge has not yet tipped, inches
	depth   float64
	breath  float64 // slow swing of precipitation
}

// Observe gives every station's reports of a season, station by station.
func Observe(seed uint64, events []event, season int, place *time.Location) [][]Report {
	step := NewDraw(seed, "fronts "+SeasonNames[season])
	total := int(Spans[season].To.Sub(Spans[season].From)/reportStep) + 1
	front := make([]float64, total)
	for i := 1; i < total; i++ {
		front[i] = 0.993*front[i-1] + step.Normal(0, 0.60)
	}
	own := slices.DeleteFunc(slices.Clone(events), func(e event) bool { return e.season != season })
	all := make([][]Report, len(SheetZones))
	for z := range SheetZones {
		s := sky{zone: z, events: own, front: front, d: NewDraw(seed, "sky "+Zones[z].ID+SeasonNames[season]), surface: 48, bearing: 270}
		all[z] = s.season(Spans[season], place)
	}
	return all
}

func (s *sky) season(during span, place *time.Location) []Report {
	reports := make([]Report, 0, len(s.front))
	for i := range s.front {
		at := during.From.Add(time.Duration(i)*reportStep + time.Duration(Zones[s.zone].OffsetMin)*time.Minute)
		if at.After(during.To) {
			break
		}
		reports = append(reports, s.report(i, at, place))
	}
	return reports
}

// report makes the station's next report; state moves on by one step.
func (s *sky) report(i int, at time.Time, place *time.Location) Report {
	local := at.In(place)
	s.noise = 0.97*s.noise + s.d.Normal(0, 0.22)
	s.gusty = 0.95*s.gusty + s.d.Normal(0, 0.9)
	s.bearing = math.Mod(s.bearing+s.d.Normal(0, 7)+360, 360)
	air, cover, wind := s.air(i, at, local)
	s.surface += (air + s.sun(local, cover) - s.surface) / 8 // pavement lags the air by some 2 h 40 min
	r := Report{Zone: s.zone, At: at, AirF: Round(air, 1), SurfaceF: Round(s.surface, 1), HasSurface: true}
	r.WindMph = Round(max(0, wind+s.gusty), 0)
	if r.WindMph >= 12 {
		r.GustMph = Round(r.WindMph*s.d.Between(1.25, 1.5), 0)
	}
	r.WindDeg = Round(s.bearing/10, 0) * 10
	s.fall(&r)
	s.dew(&r, cover, local)
	s.settle(&r)
	return r
}

// air is the air temperature, the share of sky under the weather of an event, and the wind before gusts.
func (s *sky) air(i int, at, local time.Time) (airF, cover, windMph float64) {
	day := float64(local.YearDay())
	hour := float64(local.Hour()) + float64(local.Minute())/60
	mean := 47 + 25*math.Cos(2*math.Pi*(day-200)/365)
	daily := 7 * math.Cos(2*math.Pi*(hour-15)/24)
	airF = mean + s.front[i] + daily - Zones[s.zone].CoolerF
	windMph = 7
	for _, e := range s.events {
		w, into := s.weight(e, at)
		if w == 0 {
			continue
		}
		goal := e.airF + e.trendF*(Clamp(into/e.hours, 0, 1)-0.5) + 0.15*daily - 0.7*Zones[s.zone].CoolerF
		airF += w * (goal - airF)
		windMph += w * (e.windMph - windMph)
		if e.kind != kindCold {
			cover = max(cover, w)
		}
	}
	return airF + s.noise, cover, windMph
}

// weight is how far an event rules the weather at the station, 0 to 1, and the hours since it began there.
func (s *sky) weight(e event, at time.Time) (share, intoH float64) {
	intoH = at.Sub(s.reaches(e)).Hours()
	ramp := 7.0
	if e.kind == kindRain || e.kind == kindCold {
		ramp = 10
	}
	length := e.hours + e.tailHours
	u := 1.0
	switch {
	case intoH < 0:
		u = 1 + (intoH+1)/ramp
	case intoH > length:
		u = 1 - (intoH-length)/ramp
	}
	u = Clamp(u, 0, 1)
	return u * u * (3 - 2*u), intoH
}

// reaches is when the event begins at the station.
func (s *sky) reaches(e event) time.Time {
	return e.began.Add(Minutes(Zones[s.zone].LagMin + e.lateMin[s.zone]))
}

// sun warms pavement by day and lets it cool by night, under a clear sky.
func (s *sky) sun(local time.Time, cover float64) float64 {
	hour := float64(local.Hour()) + float64(local.Minute())/60
	height := math.Sin(math.Pi * (hour - 7) / 10.5)
	if height <= 0 || hour > 17.5 {
		return -3 * (1 - cover)
	}
	return 13 * height * (1 - cover)
}

func (s *sky) dew(r *Report, cover float64, local time.Time) {
	spread := 9 - 7.5*cover + 3*math.Sin(2*math.Pi*float64(local.Hour()-9)/24)*(1-cover)
	if r.Wx != "" {
		spread = 1.2
	}
	r.DewF = Round(r.AirF-max(0.4, spread+s.d.Normal(0, 0.5)), 1)
	if r.Wx == "" && r.AirF-r.DewF < 1 && r.WindMph < 5 {
		r.Wx, r.VisibilityMi = "BR", 3
	}
}

// settle moves the snow on the ground: it packs, and melts above freezing.
func (s *sky) settle(r *Report) {
	s.depth *= 0.9985
	if r.AirF > 32 {
		s.depth -= 0.006 * (r.AirF - 32)
	}
	s.depth = max(0, s.depth)
	r.SnowDepthIn = Round(s.depth, 1)
}
