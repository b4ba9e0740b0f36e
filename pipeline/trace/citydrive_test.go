package trace

import (
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
)

// second is where a truck truly was at a second, and what it did in the second before.
type second struct {
	at      orb.Point
	speedMS float64
	droveM  float64
	route   int32
	alongM  float64
	isBack  bool // against the route's miles
	other   int32
	fedLb   float64
}

// lbPerMi is what the trucks of a city put out for each mile of every road.
const lbPerMi = 250

// tour drives arcs second by second: speeds that wander about the road's, rests at lights of roads that have such.
func (c *city) tour(random *rand.Rand, arcs []arc) (list []second) {
	factor, rest, untilRest := 1.0, 0, 300+600*random.ExpFloat64()
	onM := 0.0
	for k := 0; k < len(arcs); {
		a := &arcs[k]
		factor += 0.03*random.NormFloat64() - 0.05*(factor-0.95)
		stepM := 0.0
		if rest > 0 {
			rest--
		} else {
			stepM = a.speedMS * min(max(factor, 0.6), 1.2)
		}
		if untilRest -= stepM; untilRest < 0 && a.speedMS < 18 {
			rest, untilRest = 8+random.IntN(35), 300+900*random.ExpFloat64()
		}
		for onM += stepM; k < len(arcs) && onM >= arcs[k].lengthM; k++ {
			onM -= arcs[k].lengthM
		}
		if k == len(arcs) {
			break
		}
		a = &arcs[k]
		share := onM / a.lengthM
		p, q := c.places[a.from], c.places[a.to]
		list = append(list, second{at: orb.Point{p[0] + share*(q[0]-p[0]), p[1] + share*(q[1]-p[1])}, speedMS: stepM, droveM: stepM,
			route: a.route, alongM: a.fromM + share*(a.toM-a.fromM), isBack: a.toM < a.fromM, other: a.other,
			fedLb: lbPerMi * stepM / metresAMile})
	}
	return list
}

// shift is the arcs of a truck's shift: routes in drawn order, each by its own road where it may be driven so, with the quickest ways
// between them.
func (c *city) shift(random *rand.Rand, routes []int32) (arcs []arc) {
	at := int32(-1)
	for _, route := range routes {
		own := c.along(route, random.IntN(2) == 1)
		if own == nil {
			own = c.along(route, false)
		}
		if at >= 0 {
			between := c.way(at, own[0].from)
			if between == nil && at != own[0].from {
				continue
			}
			arcs = append(arcs, between...)
		}
		arcs = append(arcs, own...)
		at = own[len(own)-1].to
	}
	return arcs
}

// shifts are the shifts of one seed: every route three times, dealt out to trucks.
func (c *city) shifts(seed uint64) (list [][]second) {
	random := rand.New(rand.NewPCG(seed, 20))
	var order []int32
	for route := range c.routes {
		order = append(order, int32(route), int32(route), int32(route))
	}
	random.Shuffle(len(order), func(i, k int) { order[i], order[k] = order[k], order[i] })
	const each = 15
	for ; len(order) > 0; order = order[min(each, len(order)):] {
		list = append(list, c.tour(random, c.shift(random, order[:min(each, len(order))])))
	}
	return list
}

// noise is the error of positions: white from one to the next, or one that lasts (Gauss and Markov, a time constant of lastsS), or half of
// the variance each.
type noise struct {
	kind  string
	sdM   float64
	white float64 // share of the variance
}

const lastsS = 60

func noises(sdM float64) []noise {
	return []noise{{"white", sdM, 1}, {"both", sdM, 0.5}, {"lasting", sdM, 0}}
}

// positions samples a shift as a receiver reports it.
func (c *city) positions(random *rand.Rand, shift []second, intervalS int, n noise) (points []Point) {
	var lasting [2]float64
	keep := math.Exp(-1.0 / lastsS)
	for i := range lasting {
		lasting[i] = random.NormFloat64()
	}
	total := 500.0
	for s := range shift {
		here := &shift[s]
		total += here.fedLb
		for i := range lasting {
			lasting[i] = keep*lasting[i] + math.Sqrt(1-keep*keep)*random.NormFloat64()
		}
		if s%intervalS != 0 {
			continue
		}
		var error [2]float64
		for i := range error {
			error[i] = n.sdM * (math.Sqrt(n.white)*random.NormFloat64() + math.Sqrt(1-n.white)*lasting[i])
		}
		eastM := metresADegree * math.Cos(here.at[1]*math.Pi/180)
		points = append(points, Point{AtMS: beganMS + int64(s)*1000, Lon: here.at[0] + error[0]/eastM,
			Lat: here.at[1] + error[1]/metresADegree, SpeedMPH: here.speedMS * 3600 / metresAMile, RateLbPerLaneMi: math.NaN(),
			Lanes: math.NaN(), TotalLb: math.Round(total*10) / 10, Material: 1, Spreading: Yes, PlowDown: Yes})
	}
	return points
}
