package matching

import (
	"math"
	"math/rand/v2"

	"github.com/paulmach/orb"
)

// plane places metres east and north of a point in the middle of nowhere on the ellipsoid.
const planeLon, planeLat = -100.0, 45.0

func plane(eastM, northM float64) orb.Point {
	_, north := metresPerDegree(planeLat)
	lat := planeLat + northM/north
	east, _ := metresPerDegree((planeLat + lat) / 2)
	return orb.Point{planeLon + eastM/east, lat}
}

// wave is a road from x to x with a bend every few hundred metres.
func wave(from, to, offset float64) orb.LineString {
	var line orb.LineString
	for x := from; x <= to; x += 50 {
		line = append(line, plane(x, offset+120*math.Sin(x/900)))
	}
	return line
}

// Routes of the test network: a winding main road; a side road 35 m beside it for 5 km, joined at both ends; a road over the main road
// on a bridge; a ramp between the two; a branch from the main road's end; a road parallel to the bridge road, 60 m off, not joined.
const (
	mainRoad int32 = iota
	sideRoad
	bridgeRoad
	ramp
	branch
	nearRoad
)

func testRoutes() []Route {
	main := wave(0, 8000, 0)
	side := orb.LineString{main[20]}
	for i := 22; i <= 118; i++ {
		x := float64(i) * 50
		side = append(side, plane(x, 35+120*math.Sin(x/900)))
	}
	side = append(side, main[120])
	bridge := orb.LineString{plane(3020, -4000), plane(3020, -400), plane(3020, 700), plane(3020, 4000)}
	rampLine := orb.LineString{main[50], plane(2700, 0), plane(2900, -60), plane(2990, -180), plane(3020, -400)}
	branchLine := orb.LineString{main[160], plane(8200, 400), plane(8200, 3000), plane(9500, 5000)}
	near := orb.LineString{plane(3080, -3500), plane(3080, -600)}
	return []Route{
		{ID: "main", FromMi: 10, ToMi: 15, Line: main}, {ID: "side", Line: side}, {ID: "bridge", Line: bridge},
		{ID: "ramp", Line: rampLine}, {ID: "branch", Line: branchLine}, {ID: "near", FromMi: 3, ToMi: 1, Line: near},
	}
}

// leg is a stretch of a drive: along a route, or over land where route is NoRoute.
type leg struct {
	route      int32
	fromM, toM float64
	overLand   [2]orb.Point
	speedMS    float64
	totalM     float64
}

func along(n *Network, route int32, fromShare, toShare, speedMS float64) leg {
	from, to := fromShare*n.LengthM(route), toShare*n.LengthM(route)
	return leg{route: route, fromM: from, toM: to, speedMS: speedMS, totalM: math.Abs(to - from)}
}

func across(a, b orb.Point, speedMS float64) leg {
	_, _, dist := new(bandScale).distM(a[0], a[1], b[0], b[1])
	return leg{route: NoRoute, overLand: [2]orb.Point{a, b}, speedMS: speedMS, totalM: dist}
}

// position is the longitude and latitude at alongM metres from a line's begin.
func position(n *Network, route int32, alongM float64) orb.Point {
	lon, lat := n.Position(route, alongM)
	return orb.Point{lon, lat}
}

// truth is where a fix was taken.
type truth struct {
	route  int32
	alongM float64
}

// drive samples legs every intervalS seconds with normal noise on both axes.
func drive(n *Network, legs []leg, intervalS, noiseM float64, random *rand.Rand) ([]Fix, []truth) {
	var fixes []Fix
	var truths []truth
	eastM, northM := metresPerDegree(planeLat)
	ms, waitS := int64(1_900_000_000_000), 0.0
	for _, l := range legs {
		durationS := l.totalM / l.speedMS
		s := waitS
		for ; s < durationS; s += intervalS {
			share := s / durationS
			var at orb.Point
			t := truth{route: l.route}
			if l.route == NoRoute {
				at = orb.Point{l.overLand[0][0] + share*(l.overLand[1][0]-l.overLand[0][0]),
					l.overLand[0][1] + share*(l.overLand[1][1]-l.overLand[0][1])}
			} else {
				t.alongM = l.fromM + share*(l.toM-l.fromM)
				at = position(n, l.route, t.alongM)
			}
			fixes = append(fixes, Fix{AtMS: ms, Lon: at[0] + noiseM*random.NormFloat64()/eastM,
				Lat: at[1] + noiseM*random.NormFloat64()/northM, SpeedMPH: l.speedMS * 3600 / metresAMile})
			truths = append(truths, t)
			ms += int64(intervalS * 1000)
		}
		waitS = s - durationS
	}
	return fixes, truths
}

func match(n *Network, fixes []Fix) []Place {
	places := make([]Place, len(fixes))
	m := NewMatcher(n, func(index int, place Place) { places[index] = place })
	for _, fix := range fixes {
		m.Add(fix)
	}
	m.Flush()
	return places
}
