package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
)

func quiet() truck {
	return truck{speedMS: 14, intervalS: 10, noiseM: 0, random: rand.New(rand.NewPCG(1, 2))}
}

func noisy(noiseM float64, seed uint64) truck {
	return truck{speedMS: 14, intervalS: 10, noiseM: noiseM, random: rand.New(rand.NewPCG(seed, 2))}
}

// stretch is what a test looks at first.
type stretch struct {
	route    int32
	from, to float64
}

func stretches(passes []Pass) (list []stretch) {
	for _, p := range passes {
		list = append(list, stretch{p.Route, math.Round(p.FromMi*100) / 100, math.Round(p.ToMi*100) / 100})
	}
	return list
}

// miles is the length of a pass on the ground.
func miles(n roads, p Pass) float64 {
	lengthM := n.LengthM(p.Route)
	return math.Abs(p.ToMi-p.FromMi) / (n.Mile(p.Route, lengthM) - n.Mile(p.Route, 0)) * lengthM / 1609.344
}

// Out along main and the branch, round, and back: a pass ends by leaving the route and by turning round.
func TestPassesEndAtJunctionsAndTurns(t *testing.T) {
	n := testNetwork(t)
	points, fed := quiet().drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 0.8), treat(branch, 0.8, 0), treat(mainRoad, 1, 0)})
	passes, counts := build(newTestBuilder(n), points)
	require.Equal(t, []stretch{{mainRoad, 10, 15}, {branch, 0, 3.2}, {branch, 3.2, 0}, {mainRoad, 15, 10.02}}, stretches(passes),
		"the last pass ends at the last position: nothing tells how far the truck went on")
	pounds := int64(0)
	for _, p := range passes {
		assert.Equal(t, Treating, p.Activity)
		assert.Equal(t, Yes, p.PlowDown)
		assert.Equal(t, Counter, p.Basis)
		assert.Empty(t, p.Weak)
		assert.InDelta(t, 250, float64(p.Pounds)/ulbPerLb/miles(n, p), 5)
		pounds += p.Pounds
	}
	assert.Equal(t, counts.FedULb, pounds+counts.UnplacedULb)
	assert.InDelta(t, fed, float64(pounds)/ulbPerLb, 25)
}

func TestSpreadingRests(t *testing.T) {
	n := testNetwork(t)
	rest := func(from, to float64) leg { return leg{route: mainRoad, from: from, to: to} }
	length := n.LengthM(mainRoad)
	brief := 14 * 50 / length // 50 s
	long := 14 * 90 / length
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 0.4), rest(0.4, 0.4+brief), treat(mainRoad, 0.4+brief, 1), treat(branch, 0, 1)})
	passes, _ := build(newTestBuilder(n), points)
	assert.Len(t, passes, 2, "50 s without spreading go on")
	points, _ = quiet().drive(n, []leg{treat(mainRoad, 0, 0.4), rest(0.4, 0.4+long), treat(mainRoad, 0.4+long, 1), treat(branch, 0, 1)})
	passes, counts := build(newTestBuilder(n), points)
	require.Len(t, passes, 3, "90 s end the pass")
	assert.InDelta(t, 12, passes[0].ToMi, 0.1)
	assert.InDelta(t, 12+5*long, passes[1].FromMi, 0.1)
	assert.InDelta(t, 14*90, counts.TravelM, 150)
	plow := leg{route: mainRoad, from: 0.4, to: 0.4 + long, isPlowing: true}
	points, _ = quiet().drive(n, []leg{treat(mainRoad, 0, 0.4), plow, treat(mainRoad, 0.4+long, 1), treat(branch, 0, 1)})
	passes, _ = build(newTestBuilder(n), points)
	require.Len(t, passes, 4)
	assert.Equal(t, Plowing, passes[1].Activity)
	assert.Equal(t, int32(0), passes[1].Material)
	assert.Zero(t, passes[1].Pounds)
}

func TestMaterialAndCrewChanges(t *testing.T) {
	n := testNetwork(t)
	other := treat(mainRoad, 0.5, 1)
	other.material = 2
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 0.5), other, treat(branch, 0, 1)})
	for i := range points {
		points[i].Crew = 1
		if i >= 10 {
			points[i].Crew = 2
		}
	}
	passes, _ := build(newTestBuilder(n), points)
	require.Len(t, passes, 4)
	assert.Equal(t, []int32{1, 1, 2, 1}, []int32{passes[0].Material, passes[1].Material, passes[2].Material, passes[3].Material})
	assert.Equal(t, []int32{1, 2, 2, 2}, []int32{passes[0].Crew, passes[1].Crew, passes[2].Crew, passes[3].Crew})
	assert.Equal(t, passes[0].ToMi, passes[1].FromMi)
	assert.InDelta(t, 12.5, passes[1].ToMi, 0.1)
}

func TestPauseEndsThePass(t *testing.T) {
	n := testNetwork(t)
	at := position(testLines()[mainRoad], 0.5)
	stop := func(minutes float64) leg { return leg{route: matching.NoRoute, a: at, b: at, restS: minutes * 60} }
	for minutes, want := range map[float64]int{8: 2, 12: 3} {
		points, _ := noisy(5, 3).drive(n, []leg{treat(mainRoad, 0, 0.5), stop(minutes), treat(mainRoad, 0.5, 1), treat(branch, 0, 1)})
		for i := range points {
			points[i].Spreading, points[i].Material = Yes, 1
		}
		passes, _ := build(newTestBuilder(n), points)
		assert.Len(t, passes, want, "%v min", minutes)
	}
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 1)})
	for i := range points {
		if i > 20 {
			points[i].AtMS += 11 * 60_000
		}
	}
	passes, _ := build(newTestBuilder(n), points)
	assert.Len(t, passes, 3, "a silence of 11 min")
}

func TestCounterResetsAndWraps(t *testing.T) {
	n := testNetwork(t)
	for _, c := range []struct {
		name                  string
		change                func(lb float64, i int) float64
		resets, wraps, faults int
		lost                  float64 // at most, lb
	}{
		{"wrap at 65,536", func(lb float64, i int) float64 { return math.Mod(lb+64500, 65536) }, 0, 1, 0, 0},
		{"reset", func(lb float64, i int) float64 {
			if i >= 30 {
				return lb - 1140
			}
			return lb
		}, 1, 0, 0, 30},
		{"set by hand", func(lb float64, i int) float64 {
			if i >= 30 {
				return lb + 40000
			}
			return lb
		}, 0, 0, 1, 30},
	} {
		points, fed := quiet().drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 1)})
		clean, _ := build(newTestBuilder(n), points)
		want := int64(0)
		for _, p := range clean {
			want += p.Pounds
		}
		require.InDelta(t, fed, float64(want)/ulbPerLb, 25)
		for i := range points {
			points[i].TotalLb = c.change(points[i].TotalLb, i)
		}
		if c.name == "reset" {
			require.Greater(t, points[30].TotalLb, 0.0)
			require.Less(t, points[30].TotalLb, points[29].TotalLb)
		}
		passes, counts := build(newTestBuilder(n), points)
		got := int64(0)
		for _, p := range passes {
			got += p.Pounds
		}
		assert.Equal(t, []int{c.resets, c.wraps, c.faults}, []int{counts.Resets, counts.Wraps, counts.CounterFaults}, c.name)
		assert.InDelta(t, float64(want)/ulbPerLb, float64(got)/ulbPerLb, c.lost+1e-3, c.name)
		assert.Equal(t, counts.FedULb, got+counts.UnplacedULb, c.name)
	}
}

// Without a counter the rate counts: 200 lb/lane-mi on two lanes of 5 miles.
func TestPoundsFromTheRate(t *testing.T) {
	n := testNetwork(t)
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 1)})
	for i := range points {
		points[i].TotalLb, points[i].RateLbPerLaneMi, points[i].Lanes = math.NaN(), 200, 2
	}
	passes, counts := build(newTestBuilder(n), points)
	require.Len(t, passes, 2)
	assert.Equal(t, Rate, passes[0].Basis)
	assert.InDelta(t, 10, math.Abs(passes[0].ToMi-passes[0].FromMi)*passes[0].Lanes, 0.01)
	assert.InEpsilon(t, 400*n.LengthM(mainRoad)/1609.344, float64(passes[0].Pounds)/ulbPerLb, 0.005)
	assert.Equal(t, counts.FedULb, passes[0].Pounds+passes[1].Pounds+counts.UnplacedULb)
	for i := range points {
		points[i].RateLbPerLaneMi = math.NaN()
	}
	passes, _ = build(newTestBuilder(n), points)
	require.Len(t, passes, 2)
	assert.Equal(t, NoBasis, passes[0].Basis)
}

// Positions that jump speak against a pass; those of a frozen receiver tell nothing of it.
func TestWeakPasses(t *testing.T) {
	n := testNetwork(t)
	spoilt := func(spoil func(points []Point, i int)) []Pass {
		points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 1)})
		for i := 2; i < len(points)-1; i++ {
			if i%5 != 0 {
				spoil(points, i)
			}
		}
		passes, counts := build(newTestBuilder(n), points)
		require.NotEmpty(t, passes)
		assert.Greater(t, len(points)-counts.OnRoute, len(points)/2)
		return passes
	}
	jumping := spoilt(func(points []Point, i int) { points[i].Lat += float64(i % 5) })
	assert.Equal(t, WeakShare, jumping[0].Weak)
	assert.Less(t, jumping[0].MatchShare, 0.6)
	frozen := spoilt(func(points []Point, i int) { points[i].Lon, points[i].Lat = points[i-1].Lon, points[i-1].Lat })
	assert.Empty(t, frozen[0].Weak)
	assert.InDelta(t, 1, frozen[0].MatchShare, 0)
}

// TestLaneMiles: with 10 m noise every 10 s the lane-miles of a day are within 1 % of the truth, by construction; the limit is the
// project's own.
func TestLaneMiles(t *testing.T) {
	n := testNetwork(t)
	garage := plane(-1500, -900)
	legs := []leg{{route: matching.NoRoute, a: garage, b: plane(0, 0), material: 1}, treat(mainRoad, 0, 1), treat(branch, 0, 1),
		treat(branch, 1, 0), treat(mainRoad, 1, 0.625), treat(sideRoad, 1, 0), treat(mainRoad, 0.25, 0),
		treat(mainRoad, 0, 1), treat(mainRoad, 1, 0), {route: matching.NoRoute, a: plane(0, 0), b: garage}}
	for _, noiseM := range []float64{0, 10, 30} {
		want, got, passesMade := 0.0, 0.0, 0
		for seed := range uint64(30) {
			points, fed := noisy(noiseM, seed).drive(n, legs)
			passes, counts := build(newTestBuilder(n), points)
			pounds := int64(0)
			for _, p := range passes {
				got += miles(n, p) * 1609.344
				pounds += p.Pounds
			}
			for _, l := range legs {
				want += math.Abs(l.to-l.from) * lengthOf(n, l.route)
			}
			passesMade += len(passes)
			assert.Equal(t, counts.FedULb, pounds+counts.UnplacedULb)
			assert.InDelta(t, fed, float64(counts.FedULb)/ulbPerLb, 0.01)
		}
		t.Logf("noise %v m: %.1f m of %.1f m, %+.2f %%, %.1f passes a day", noiseM, got, want, 100*(got/want-1), float64(passesMade)/30)
		limit := 0.01
		if noiseM > 10 {
			limit = 0.03
		}
		assert.InEpsilon(t, want, got, limit, "noise %v m", noiseM)
	}
}

// Where a truck turns into a side street for less than BridgeS, its pounds and miles there are the side street's. By hand: around one block
// of 160 m, four streets.
func TestAroundTheBlock(t *testing.T) {
	const street = 160.0
	n := newRoads(t, []matching.Route{
		{ID: "long", ToMi: 2, Line: orb.LineString{plane(0, 0), plane(20*street, 0)}},
		{ID: "upper", ToMi: 1, Line: orb.LineString{plane(5*street, street), plane(10*street, street)}},
		{ID: "left", ToMi: 0.1, Line: orb.LineString{plane(5*street, 0), plane(5*street, street)}},
		{ID: "right", ToMi: 0.1, Line: orb.LineString{plane(6*street, 0), plane(6*street, street)}},
	})
	slow := quiet()
	slow.speedMS, slow.intervalS = 10, 2
	points, fed := slow.drive(n, []leg{treat(0, 0, 0.25), treat(2, 0, 1), treat(1, 0, 0.2), treat(3, 1, 0), treat(0, 0.3, 1)})
	passes, counts := build(newTestBuilder(n), points)
	assert.Equal(t, []stretch{{0, 0, 0.5}, {2, 0, 0.1}, {1, 0, 0.2}, {3, 0.1, 0}, {0, 0.6, 1.99}}, stretches(passes),
		"the last ends at the last position")
	for _, p := range passes {
		assert.Empty(t, p.Weak)
		assert.InDelta(t, 250, float64(p.Pounds)/ulbPerLb/miles(n, p), 10)
	}
	assert.InDelta(t, fed-5, float64(counts.FedULb-counts.UnplacedULb)/ulbPerLb, 5)
}

// A lap of a line that ends where it begins is as long as the line, wherever it is begun: no turn at the joint.
func TestLapsOfALoop(t *testing.T) {
	var line orb.LineString
	for i := range 49 {
		line = append(line, plane(600*math.Cos(2*math.Pi*float64(i)/48), 600*math.Sin(2*math.Pi*float64(i)/48)))
	}
	line[48] = line[0]
	n := newRoads(t, []matching.Route{{ID: "loop", ToMi: 2, Line: line}})
	for _, direction := range []float64{1, -1} {
		for seed := range uint64(10) {
			points, fed := noisy(float64(seed), seed).drive(n,
				[]leg{treat(0, 0.5-direction/4, 0.5+direction/2), treat(0, 0.5-direction/2, 0.5-direction/4)})
			passes, counts := build(newTestBuilder(n), points)
			driven := 0.0
			for _, p := range passes {
				driven += math.Abs(p.ToMi - p.FromMi)
				assert.Positive(t, (p.ToMi-p.FromMi)*direction)
			}
			assert.Len(t, passes, 2)
			assert.InDelta(t, 2, driven, 0.08, "the last position is up to 140 m before the lap's end")
			assert.InDelta(t, fed, float64(counts.FedULb-counts.UnplacedULb)/ulbPerLb, 25)
		}
	}
}

// By hand: 200 lb/lane-mi by the rate on one lane where there are no readings, 250 lb a mile by the counter where there are.
func TestRateCountsWhereTheCounterDoesNotTell(t *testing.T) {
	n := testNetwork(t)
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 1)})
	for i := range points {
		points[i].RateLbPerLaneMi, points[i].Lanes = 200, 1
		if float64(points[i].AtMS-beganMS)/1000*14 < n.LengthM(mainRoad)+200 {
			points[i].TotalLb = math.NaN()
		}
	}
	passes, counts := build(newTestBuilder(n), points)
	require.Len(t, passes, 2)
	assert.Equal(t, []Basis{Rate, Counter}, []Basis{passes[0].Basis, passes[1].Basis})
	assert.InEpsilon(t, 200*n.LengthM(mainRoad)/1609.344, float64(passes[0].Pounds)/ulbPerLb, 0.01)
	assert.InEpsilon(t, 250*(n.LengthM(branch)-200)/1609.344+200*200/1609.344, float64(passes[1].Pounds)/ulbPerLb, 0.03)
	assert.Equal(t, counts.FedULb, passes[0].Pounds+passes[1].Pounds+counts.UnplacedULb)
	for i := range points {
		points[i].RateLbPerLaneMi = math.NaN()
	}
	passes, _ = build(newTestBuilder(n), points)
	assert.Equal(t, []Basis{NoBasis, Counter}, []Basis{passes[0].Basis, passes[1].Basis}, "nothing tells, which is not 0 lb")
}

// A last digit that wavers is no reset, and its way back up is nothing that went out: a parked counter between 5,000 and 4,999 counts
// nothing.
func TestCounterThatWavers(t *testing.T) {
	n := testNetwork(t)
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 1)})
	_, clean := build(newTestBuilder(n), points)
	points[30].TotalLb = points[29].TotalLb - 0.1
	_, counts := build(newTestBuilder(n), points)
	assert.Zero(t, counts.Resets)
	assert.InDelta(t, clean.FedULb, counts.FedULb, 2, "rounded at other readings")
	for i := range points {
		points[i].TotalLb, points[i].Spreading, points[i].PlowDown = 5000-float64(i%2), Unknown, No
	}
	passes, counts := build(newTestBuilder(n), points)
	assert.Zero(t, counts.FedULb)
	assert.Empty(t, passes)
}

// One jump does not hide a stop: 6 min, a point 4 km off, 6 min.
func TestJumpWhileStanding(t *testing.T) {
	n := testNetwork(t)
	at := position(testLines()[mainRoad], 0.5)
	stop := leg{route: matching.NoRoute, a: at, b: at, restS: 12 * 60}
	points, _ := quiet().drive(n, []leg{treat(mainRoad, 0, 0.5), stop, treat(mainRoad, 0.5, 1), treat(branch, 0, 1)})
	for i := range points {
		points[i].Spreading, points[i].Material = Yes, 1
	}
	middle := 0
	for i := range points {
		if points[i].SpeedMPH == 0 {
			middle++
			if middle == 36 {
				points[i].Lat += 0.036
			}
		}
	}
	require.Equal(t, 72, middle)
	passes, _ := build(newTestBuilder(n), points)
	assert.Len(t, passes, 3)
}
