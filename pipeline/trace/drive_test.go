package trace

import (
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
)

// plane places metres east and north of a point in the middle of nowhere.
const (
	planeLon, planeLat = -100.0, 45.0
	eastM, northM      = 78846.8, 111131.8 // metres a degree at 45 degrees north, WGS 84
)

func plane(x, y float64) orb.Point {
	return orb.Point{planeLon + x/eastM, planeLat + y/northM}
}

// Routes of the test network: a winding main road of 5 miles, a side road 35 m beside a part of it, a road over it on a bridge, and a
// branch from its end.
const (
	mainRoad int32 = iota
	sideRoad
	bridgeRoad
	branch
)

func testLines() []orb.LineString {
	var main, side orb.LineString
	for x := 0.0; x <= 8000; x += 50 {
		main = append(main, plane(x, 120*math.Sin(x/900)))
		if x > 2000 && x < 5000 {
			side = append(side, plane(x, 35+120*math.Sin(x/900)))
		}
	}
	side = append(append(orb.LineString{main[40]}, side...), main[100])
	return []orb.LineString{main, side, {plane(3020, -4000), plane(3020, 4000)},
		{main[160], plane(8200, 400), plane(8200, 3000), plane(9500, 5000)}}
}

func testNetwork(t require.TestingT) roads {
	lines := testLines()
	return newRoads(t, []matching.Route{{ID: "main", FromMi: 10, ToMi: 15, Line: lines[mainRoad]}, {ID: "side", Line: lines[sideRoad]},
		{ID: "bridge", Line: lines[bridgeRoad]}, {ID: "branch", FromMi: 0, ToMi: 4, Line: lines[branch]}})
}

// roads is a network with the lines that it was made of, along which trucks drive.
type roads struct {
	*matching.Network
	routes []matching.Route
}

func newRoads(t require.TestingT, routes []matching.Route) roads {
	n, err := matching.NewNetwork(routes, matching.DefaultSettings())
	require.NoError(t, err)
	return roads{n, routes}
}

// position is the place at a share of a line.
func position(line orb.LineString, share float64) orb.Point {
	lengths, whole := make([]float64, len(line)), 0.0
	for i := 1; i < len(line); i++ {
		lengths[i] = matching.StraightM(line[i-1][0], line[i-1][1], line[i][0], line[i][1])
		whole += lengths[i]
	}
	leftM := share * whole
	for i := 1; i < len(line); i++ {
		if leftM <= lengths[i] {
			part := leftM / lengths[i]
			return orb.Point{line[i-1][0] + part*(line[i][0]-line[i-1][0]), line[i-1][1] + part*(line[i][1]-line[i-1][1])}
		}
		leftM -= lengths[i]
	}
	return line[len(line)-1]
}

// leg is a stretch of a drive in shares of a route's line; over land between two places where route is NoRoute; at rest where it has no
// length but seconds.
type leg struct {
	route      int32
	from, to   float64
	a, b       orb.Point
	restS      float64
	isTreating bool
	isPlowing  bool
	material   int32
	lbPerMi    float64
}

// truck is what a generated truck is like.
type truck struct {
	speedMS, intervalS, noiseM float64
	random                     *rand.Rand
}

const beganMS = int64(1_900_000_000_000)

// drive samples the legs. The counter counts every pound; it begins at 500.
func (tr truck) drive(n roads, legs []leg) (points []Point, fedLb float64) {
	seconds, due := 0.0, 0.0
	total := 500.0
	for _, l := range legs {
		lengthM := math.Abs(l.to-l.from) * lengthOf(n, l.route)
		if l.route == matching.NoRoute {
			lengthM = matching.StraightM(l.a[0], l.a[1], l.b[0], l.b[1])
		}
		legS := lengthM/tr.speedMS + l.restS
		for ; due < seconds+legS; due += tr.intervalS {
			share := (due - seconds) / legS
			at := l.a
			if l.route != matching.NoRoute {
				at = position(n.routes[l.route].Line, l.from+share*(l.to-l.from))
			} else if l.restS == 0 {
				at = orb.Point{l.a[0] + share*(l.b[0]-l.a[0]), l.a[1] + share*(l.b[1]-l.a[1])}
			}
			p := Point{AtMS: beganMS + int64(due*1000), Lon: at[0] + tr.noiseM*tr.random.NormFloat64()/eastM,
				Lat:      at[1] + tr.noiseM*tr.random.NormFloat64()/northM,
				SpeedMPH: tr.speedMS * 3600 / 1609.344, RateLbPerLaneMi: math.NaN(), Lanes: math.NaN(),
				TotalLb: total + l.lbPerMi*share*lengthM/1609.344, Material: l.material, Spreading: No, PlowDown: No}
			if l.restS > 0 {
				p.SpeedMPH = 0
			}
			if l.isTreating {
				p.Spreading = Yes
			}
			if l.isPlowing {
				p.PlowDown = Yes
			}
			points = append(points, p)
		}
		seconds += legS
		total += l.lbPerMi * lengthM / 1609.344
		fedLb += l.lbPerMi * lengthM / 1609.344
	}
	return points, fedLb
}

func lengthOf(n roads, route int32) float64 {
	if route == matching.NoRoute {
		return 0
	}
	return n.LengthM(route)
}

// treat is a leg that spreads 250 lb a mile with the plow down.
func treat(route int32, from, to float64) leg {
	return leg{route: route, from: from, to: to, isTreating: true, isPlowing: true, material: 1, lbPerMi: 250}
}

func newTestBuilder(n roads) *Builder {
	return NewBuilder(n.Network, []float64{1, 1, 1, 1}, DefaultSettings())
}

// build cuts points into traces and gives all passes and the sum of counts.
func build(b *Builder, points []Point) (passes []Pass, all Counts) {
	s := NewSplitter(b.settings, func(points []Point) {
		made, c := b.Build(points)
		passes = append(passes, made...)
		all.Points, all.OnRoute, all.OffNetwork = all.Points+c.Points, all.OnRoute+c.OnRoute, all.OffNetwork+c.OffNetwork
		all.FedULb, all.UnplacedULb, all.Resets, all.Wraps, all.CounterFaults = all.FedULb+c.FedULb, all.UnplacedULb+
			c.UnplacedULb, all.Resets+c.Resets, all.Wraps+c.Wraps, all.CounterFaults+c.CounterFaults
		all.TravelM, all.OffNetworkM = all.TravelM+c.TravelM, all.OffNetworkM+c.OffNetworkM
	})
	for _, p := range points {
		s.Add(p)
	}
	s.Flush()
	return passes, all
}
