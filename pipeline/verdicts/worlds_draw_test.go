package verdicts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
)

// world is a district of known truth, winter after winter. Effects and standard deviations are of logarithms; acetate's are against salt.
// Routes 0 to Acetate-1 turn to acetate after Before winters on salt. A rate stands on its crew, route, storm and weather; applications on
// the storm's need and the route; pounds are their product; hours to bare have a law of their own.
type world struct {
	Acetate, Chloride       int
	Before, Seasons         int
	Start, Learning         float64 // of rates, at a first storm and per doubling of storms worked
	Applications            float64
	RouteSD, OwnSD          float64 // of applications, by route; own: a route's answer to acetate
	RateSD                  float64 // of rates, by route and by crew; own: at most 0.04
	ClassSD                 float64 // a storm's effect on one class, of rates and applications
	AcetateStormSD          float64 // a storm's effect on acetate's rates alone
	SlopeSD                 float64 // of crews' learning
	SteeperPerF             float64 // acetate's rates answer each degree below 30 F more
	WarmerF                 float64 // from the last winter's first storm to its last
	Orders                  []float64
	LaterH, LaterPct        float64 // acetate's roads
	NotBare, NotBareAcetate float64 // shares of route-storms
	Reported                float64
	IsUncounted             bool // every pound is a set rate's
}

// alike is 6 acetate and 6 chloride routes, a winter on salt and one with acetate, which does all that salt does.
func alike() world {
	return world{Acetate: 6, Chloride: 6, Before: 1, Seasons: 1, RouteSD: 0.10, OwnSD: 0.06, RateSD: 0.06, ClassSD: 0.03, SlopeSD: 0.015,
		NotBare: 0.03, NotBareAcetate: 0.03, Reported: 0.95}
}

// drawn is one draw of a world, as the queries hand it to the verdicts, and what it knows of its truth.
type drawn struct {
	world
	random   *rand.Rand
	in       *SeasonsInput
	curve    *LearningInput
	season   string // the last
	storms   []string
	orderAt  []time.Time
	prior    []int
	crew     []float64
	slope    []float64
	routes   [4][]float64 // rate, own of rate, applications, own of applications
	hours    [2][]float64
	slopeSum float64 // over acetate's rows of rates
	slopes   float64
}

// Spread of what is drawn, about that of the trade. Common practice.
const (
	worldCrews        = 6
	worldStormSD      = 0.12
	worldRateRestSD   = 0.10
	worldNeedSD       = 0.40
	worldRoundsRestSD = 0.15
	worldHoursStormSD = 0.35
	worldHoursRestSD  = 0.30
	worldLaneMi       = 12.0
)

func (w world) draw(seed uint64) *drawn {
	s := district.DefaultSettings()
	d := &drawn{world: w, random: rand.New(rand.NewPCG(seed, 1983)), in: &SeasonsInput{Settings: s},
		curve: &LearningInput{Compare: s.Compare, Beside: s.Beside, MinRows: s.LearningMinRows, MinStorms: s.LearningMinStorms}}
	own := min(0.04, w.RateSD)
	d.crew, d.slope, d.prior = d.normals(worldCrews, w.RateSD), d.normals(worldCrews, w.SlopeSD), make([]int, worldCrews)
	for k, sd := range []float64{w.RateSD, own, w.RouteSD, w.OwnSD} {
		d.routes[k] = d.normals(w.Acetate+w.Chloride, sd)
	}
	for k, sd := range []float64{0.10, 0.05} {
		d.hours[k] = d.normals(w.Acetate+w.Chloride, sd)
	}
	for season := range w.Before + w.Seasons {
		d.season = fmt.Sprintf("%d-%02d", 2027+season, 28+season)
		d.winter(season)
	}
	d.in.AsOfSeason = fmt.Sprintf("%d-%02d", 2027+w.Before+w.Seasons, 28+w.Before+w.Seasons)
	d.curve.AsOfSeason = d.in.AsOfSeason
	return d
}

func (d *drawn) normals(n int, sd float64) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = sd * d.random.NormFloat64()
	}
	return values
}

// winter draws 18 to 32 storms from 5 November to the end of March. Orders come at equal steps of the first winter with acetate.
func (d *drawn) winter(season int) {
	n := 18 + d.random.IntN(15)
	first := time.Date(2027+season, 11, 5, 0, 0, 0, 0, time.UTC)
	for k := range d.Orders {
		if season == d.Before {
			d.orderAt = append(d.orderAt, first.AddDate(0, 0, 145*(k+1)/(len(d.Orders)+1)))
		}
	}
	d.storms = nil
	for storm := range n {
		d.storm(season, storm, n, first.AddDate(0, 0, (145*storm+d.random.IntN(145))/n))
	}
	for side, class := range []string{d.in.Settings.Compare, d.in.Settings.Beside} {
		if side == 1 || season >= d.Before {
			told := seasonPounds{Season: d.season, MaterialClass: class, AppliedUlb: 1e12, PoundsBasis: rows.BasisReported}
			if d.IsUncounted {
				told.SetRateShare = 1
			}
			d.in.Pounds = append(d.in.Pounds, told)
		}
	}
	d.in.Closed = append(d.in.Closed, closedStorms{d.season, int64(n)})
}

// drawnStorm is what a storm does to every route, and to the two classes.
type drawnStorm struct {
	template              BesideSaltRow
	air, rate, need, slow float64
	classRate, classNeed  []float64
	classSlow             []float64
	notBare               float64 // storms that stay on the road do so on many routes
	zone                  comparedZone
	acetateAlone          float64
}

func (d *drawn) storm(season, number, of int, date time.Time) {
	air := 24 + 6*d.random.NormFloat64()
	if season == d.Before+d.Seasons-1 {
		air += d.WarmerF * (float64(number)/float64(of) - 0.5)
	}
	intensity, freezing := 0.05*d.random.ExpFloat64(), 0.0
	if d.random.Float64() < 0.25 {
		freezing = 1
	}
	id := fmt.Sprintf("d-%d-%02d", season, number)
	s := drawnStorm{air: air, rate: -0.006*(air-24) + 1.5*(intensity-0.05) + 0.1*(freezing-0.25) + worldStormSD*d.random.NormFloat64(),
		need: worldNeedSD * d.random.NormFloat64(), slow: 1.6 - 0.01*(air-24) + worldHoursStormSD*d.random.NormFloat64(),
		classRate: d.normals(2, d.ClassSD), classNeed: d.normals(2, d.ClassSD), classSlow: d.normals(2, 0.05),
		notBare: d.random.ExpFloat64(), acetateAlone: d.AcetateStormSD * d.random.NormFloat64(),
		template: BesideSaltRow{Season: d.season, StormID: id, ZoneID: "z", StormDate: date, W: math.Log2(1 + float64(number)), X: new(0.0),
			AirF: &air, Intensity: &intensity, Freezing: &freezing, LengthUlm: worldLaneMi * 1e6},
		zone: comparedZone{Season: d.season, StormID: id, RunBeganAt: date, IsCompared: season >= d.Before}}
	d.storms = append(d.storms, id)
	worked := map[int]bool{}
	for route := range d.Acetate + d.Chloride {
		isAcetate := route < d.Acetate && season >= d.Before
		crew := route % worldCrews
		if d.random.Float64() < 0.2 {
			crew = d.random.IntN(worldCrews)
		}
		if d.route(&s, route, crew, isAcetate) && isAcetate {
			worked[crew] = true
		}
	}
	d.in.Zones = append(d.in.Zones, s.zone)
	for crew := range worked {
		d.prior[crew]++
	}
}

// route draws what a route got; false where it needed nothing.
func (d *drawn) route(s *drawnStorm, route, crew int, isAcetate bool) bool {
	row, side := s.template, sideOf(isAcetate)
	row.RouteID, row.IsAcetate = fmt.Sprintf("r%02d", route), isAcetate
	need := s.need + s.classNeed[side] + d.routes[2][route] + worldRoundsRestSD*d.random.NormFloat64()
	rate := math.Log(260) + s.rate + s.classRate[side] + d.routes[0][route] + d.crew[crew] + worldRateRestSD*d.random.NormFloat64()
	if isAcetate {
		x := math.Log2(1 + float64(d.prior[crew]))
		row.X = &x
		rate += d.Start + (d.Learning+d.slope[crew])*x + d.routes[1][route] + s.acetateAlone + d.SteeperPerF*math.Max(0, 30-s.air)
		need += d.Applications + d.routes[3][route]
		for k, at := range d.orderAt {
			if !row.StormDate.Before(at) {
				rate += d.Orders[k]
			}
		}
		s.zone.AcetatePasses, s.zone.AcetatePrior = s.zone.AcetatePasses+3, s.zone.AcetatePrior+3*int64(d.prior[crew])
	}
	isTreated := s.need+0.3*d.random.NormFloat64() > -0.95
	applications, pounds := 0.0, 0.0
	if isTreated {
		applications = 3 * math.Exp(need)
		pounds = math.Exp(rate) * applications
	}
	add := []*int64{&s.zone.AcetateUlb, &s.zone.AcetateTreated, &s.zone.AcetateLength, &s.zone.ChlorideUlb, &s.zone.ChlorideTreated,
		&s.zone.ChlorideLength}[3*side:]
	for k, value := range []float64{pounds, applications, 1} {
		*add[k] += int64(math.Round(value * worldLaneMi * 1e6))
	}
	d.tell(row, rows.QuestionApplications, applications)
	d.tell(row, rows.QuestionPounds, pounds)
	if !isTreated {
		return false
	}
	d.hoursOf(s, row, route)
	row.CrewID = fmt.Sprintf("c%d", crew)
	d.tell(row, rows.QuestionRate, math.Exp(rate))
	if isAcetate {
		d.slopeSum, d.slopes = d.slopeSum+d.slope[crew], d.slopes+1
		d.curve.Rows = append(d.curve.Rows, LearningRow{Season: row.Season, StormID: row.StormID, CrewID: row.CrewID, RouteID: row.RouteID,
			StormDate: row.StormDate, PriorStorms: int64(d.prior[crew]), X: *row.X, Rate: math.Exp(rate), AirF: row.AirF,
			Intensity: row.Intensity, Freezing: row.Freezing})
	}
	return true
}

func (d *drawn) tell(row BesideSaltRow, question string, y float64) {
	row.Question, row.Y = question, &y
	d.in.Rows = append(d.in.Rows, row)
}

// hoursOf draws the hours to bare with the cap of 24, and whether anybody reported them.
func (d *drawn) hoursOf(s *drawnStorm, row BesideSaltRow, route int) {
	side, share := sideOf(row.IsAcetate), d.NotBare
	hours := math.Exp(s.slow+s.classSlow[side]+d.hours[0][route]+worldHoursRestSD*d.random.NormFloat64()) - 1
	if row.IsAcetate {
		share = d.NotBareAcetate
		hours = (math.Exp(math.Log1p(hours)+d.hours[1][route])-1)*(1+d.LaterPct/100) + d.LaterH
	}
	hours = math.Max(0, hours)
	isBare := hours <= 24 && !(d.random.Float64() < share*s.notBare)
	if !isBare {
		hours = 24
	}
	row.Question = rows.QuestionHours
	if d.random.Float64() < d.Reported {
		row.Y, row.IsBareInCap = new(1+hours), &isBare
	}
	d.in.Rows = append(d.in.Rows, row)
}

// only keeps the rows of some questions: a figure that hangs on these alone needs no other fit.
func (d *drawn) only(questions ...string) *drawn {
	var kept []BesideSaltRow
	for _, row := range d.in.Rows {
		for _, question := range questions {
			if row.Question == question {
				kept = append(kept, row)
			}
		}
	}
	d.in.Rows = kept
	return d
}

// night is the input after so many of the last season's storms, while it is open.
func (d *drawn) night(storms int) *SeasonsInput {
	in := *d.in
	in.AsOfSeason, in.Rows, in.Zones = d.season, nil, nil
	in.Closed = append([]closedStorms(nil), d.in.Closed...)
	in.Closed[len(in.Closed)-1].Storms = int64(storms)
	told := map[string]bool{}
	for _, id := range d.storms[:storms] {
		told[id] = true
	}
	for _, row := range d.in.Rows {
		if row.Season < d.season || told[row.StormID] {
			in.Rows = append(in.Rows, row)
		}
	}
	for _, zone := range d.in.Zones {
		if zone.Season < d.season || told[zone.StormID] {
			in.Zones = append(in.Zones, zone)
		}
	}
	return &in
}

// atEnd judges the last season, closed.
func (d *drawn) atEnd() *seasonFits { return d.in.judge(d.season) }

func (f *seasonFits) claims(answer string, claims ...int64) bool {
	for _, row := range f.Claims {
		for _, claim := range claims {
			if row.Claim == claim && row.Answer == answer {
				return true
			}
		}
	}
	return false
}
