package pipeline

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/verdicts"
)

// inventedDistrict is a district with a known truth, one season long, from which the rows of the learning fits are drawn.
// Logarithmic changes are per unit of x or w; standard deviations are of ln(rate).
type inventedDistrict struct {
	Crews, Storms             int
	AcetateRoutes, SaltRoutes int
	StartRatio                float64 // acetate over salt at a first storm
	Learning                  float64 // per x, acetate beyond salt
	SaltTrend                 float64 // per w, both materials
	WarmingF                  float64 // mean temperature gained from the first storm to the last
	ZeroShare                 float64 // share of storms in which acetate needs no pounds
	OrderAt                   int     // number of the storm from which an order holds; 0 for none
	OrderStep                 float64
	SlopeSD                   float64
	LackingShare              float64 // share of storms without temperature
	MisSetUntil               int     // number of the storm before which the truck of crew c0 counts MisSetFactor times its pounds
	MisSetFactor              float64
	MisSetFound               bool // whether weighed loads have shown it, which keeps those rows out of the fits
}

// standardDistrict is 6 crews in 25 storms that begin 42 % above salt and come down towards 4 % above it.
func standardDistrict() inventedDistrict {
	return inventedDistrict{Crews: 6, Storms: 25, AcetateRoutes: 8, SaltRoutes: 8, StartRatio: 1.42,
		Learning: math.Log(1.04/1.42) / math.Log2(25),
		SlopeSD:  0.015}
}

// Spread of the invented rates, about that of the trade. Common practice.
const (
	inventedSaltRate = 260.0 // pound per lane-mile
	inventedStormSD  = 0.12
	inventedRouteSD  = 0.06
	inventedCrewSD   = 0.06
	inventedRestSD   = 0.10
	inventedPerF     = -0.006
)

var inventedBegin = time.Date(2029, time.November, 5, 0, 0, 0, 0, time.UTC)

// inventor draws one season. Draws come from one generator in a fixed order.
type inventor struct {
	inventedDistrict
	random *rand.Rand
	in     *verdicts.LearningInput
	beside *verdicts.SeasonsInput
	prior  []int64
	crew   []float64
	slope  []float64
	route  []float64
}

// invent draws the input of the learning fits from a seed.
func (d inventedDistrict) invent(seed uint64) *verdicts.LearningInput { return d.draw(seed).in }

// meanSlope is the mean over the acetate rows of their crews' own slopes: what these crews do beyond crews in general.
func (v *inventor) meanSlope() float64 {
	sum := 0.0
	for _, row := range v.in.Rows {
		sum += v.slope[int(row.CrewID[1]-'0')]
	}
	return sum / float64(len(v.in.Rows))
}

func (d inventedDistrict) draw(seed uint64) *inventor {
	v := &inventor{inventedDistrict: d, random: rand.New(rand.NewPCG(seed, 2029)),
		in:     &verdicts.LearningInput{Compare: "acetate", Beside: "chloride", AsOfSeason: "2030-31", MinRows: 12, MinStorms: 5},
		beside: &verdicts.SeasonsInput{Settings: district.DefaultSettings(), AsOfSeason: "2030-31"}}
	v.prior = make([]int64, d.Crews)
	v.crew, v.slope = v.normals(d.Crews, inventedCrewSD), v.normals(d.Crews, d.SlopeSD)
	v.route = v.normals(d.AcetateRoutes+d.SaltRoutes, inventedRouteSD)
	if d.OrderAt > 0 {
		v.in.Orders = []rows.Order{{FromDate: stormDate(d.OrderAt).AddDate(0, 0, -1), Text: "set back the acetate rate",
			MaterialClass: "acetate"}}
		v.beside.Orders = v.in.Orders
	}
	for storm := range d.Storms {
		v.storm(storm)
	}
	return v
}

func stormDate(storm int) time.Time { return inventedBegin.AddDate(0, 0, 6*storm) }

func (v *inventor) normals(count int, sd float64) []float64 {
	values := make([]float64, count)
	for i := range values {
		values[i] = sd * v.random.NormFloat64()
	}
	return values
}

// inventedStorm is the weather of one storm and what it does to every rate.
type inventedStorm struct {
	number    int
	id        string
	weather   verdicts.WeatherValues
	rate      float64
	needsNone bool
}

func (v *inventor) storm(number int) {
	air := 24 + v.WarmingF*(float64(number)/float64(v.Storms)-0.5) + 5*v.random.NormFloat64()
	intensity := 0.05 * v.random.ExpFloat64()
	freezing := 0.0
	if v.random.Float64() < 0.25 {
		freezing = 1
	}
	s := inventedStorm{number: number, id: fmt.Sprintf("d-%s", stormDate(number).Format("20060102")),
		weather:   verdicts.WeatherValues{&air, &intensity, &freezing},
		rate:      inventedPerF*(air-24) + 1.5*(intensity-0.05) + 0.1*(freezing-0.25) + inventedStormSD*v.random.NormFloat64(),
		needsNone: v.random.Float64() < v.ZeroShare}
	if v.random.Float64() < v.LackingShare {
		s.weather[0] = nil
	}
	worked := make([]bool, v.Crews)
	for route := range v.AcetateRoutes + v.SaltRoutes {
		crew := route % v.Crews
		if v.random.Float64() < 0.2 {
			crew = v.random.IntN(v.Crews)
		}
		if v.random.Float64() < 0.1 {
			continue
		}
		if route < v.AcetateRoutes && !s.needsNone {
			v.acetate(s, route, crew)
			worked[crew] = true
		} else if route >= v.AcetateRoutes {
			v.salt(s, route, crew)
		}
	}
	for crew, has := range worked {
		if has {
			v.prior[crew]++
		}
	}
}

func (v *inventor) acetate(s inventedStorm, route, crew int) {
	x, w := math.Log2(1+float64(v.prior[crew])), math.Log2(1+float64(s.number))
	logRate := math.Log(inventedSaltRate*v.StartRatio) + s.rate + v.route[route] + v.crew[crew] + (v.Learning+v.slope[crew])*x +
		v.SaltTrend*w + inventedRestSD*v.random.NormFloat64()
	if v.OrderAt > 0 && s.number >= v.OrderAt {
		logRate += v.OrderStep
	}
	if crew == 0 && s.number < v.MisSetUntil {
		if v.MisSetFound {
			return
		}
		logRate += math.Log(v.MisSetFactor)
	}
	row := verdicts.LearningRow{Season: "2029-30", StormID: s.id, CrewID: fmt.Sprintf("c%d", crew), RouteID: fmt.Sprintf("r%02d", route),
		StormDate: stormDate(s.number), PriorStorms: v.prior[crew], X: x, Rate: math.Exp(logRate),
		AirF: s.weather[0], Intensity: s.weather[1], Freezing: s.weather[2]}
	v.in.Rows = append(v.in.Rows, row)
	v.besideRow(s, route, crew, true, x, w, row.Rate)
}

func (v *inventor) salt(s inventedStorm, route, crew int) {
	w := math.Log2(1 + float64(s.number))
	logRate := math.Log(inventedSaltRate) + s.rate + v.route[route] + v.crew[crew] + v.SaltTrend*w + inventedRestSD*v.random.NormFloat64()
	v.besideRow(s, route, crew, false, 0, w, math.Exp(logRate))
}

func (v *inventor) besideRow(s inventedStorm, route, crew int, isAcetate bool, x, w, rate float64) {
	v.beside.Rows = append(v.beside.Rows, verdicts.BesideSaltRow{Question: rows.QuestionRate, Season: "2029-30", StormID: s.id, ZoneID: "z",
		RouteID: fmt.Sprintf("r%02d", route), CrewID: fmt.Sprintf("c%d", crew), IsAcetate: isAcetate, StormDate: stormDate(s.number),
		X: &x, W: w, Y: &rate, AirF: s.weather[0], Intensity: s.weather[1], Freezing: s.weather[2]})
}
