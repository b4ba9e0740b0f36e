package trace

import (
	"math"
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/matching"
)

// day is a day of a truck with stops in it, 10 m noise.
func day(n roads, seed uint64) []Point {
	at := testLines()[mainRoad][0]
	stop := leg{route: matching.NoRoute, a: at, b: at, restS: 1500}
	points, _ := noisy(10, seed).drive(n, []leg{treat(mainRoad, 0, 1), treat(branch, 0, 1), treat(branch, 1, 0), treat(mainRoad, 1, 0),
		stop,
		{route: mainRoad, from: 0, to: 0.3, isPlowing: true}, treat(mainRoad, 0.3, 0), stop, treat(mainRoad, 0, 1)})
	return points
}

// assertSame compares passes, NaN equal to NaN.
func assertSame(t require.TestingT, want, got []Pass) {
	require.Len(t, got, len(want))
	for i := range want {
		w, g := want[i], got[i]
		assert.Equal(t, math.IsNaN(w.Lanes), math.IsNaN(g.Lanes))
		if math.IsNaN(w.Lanes) {
			w.Lanes, g.Lanes = 0, 0
		}
		assert.Equal(t, w, g, "pass %d", i)
	}
}

// A trace is worked out by itself: built alone it gives the passes it gives among others.
func TestTracesStandAlone(t *testing.T) {
	n := testNetwork(t)
	points := day(n, 5)
	want, _ := build(newTestBuilder(n), points)
	var traces [][]Point
	s := NewSplitter(DefaultSettings(), func(trace []Point) { traces = append(traces, slices.Clone(trace)) })
	for _, p := range points {
		s.Add(p)
	}
	s.Flush()
	require.Len(t, traces, 3)
	isSame := slices.EqualFunc(points, slices.Concat(traces...), func(p, q Point) bool { return p.Same(&q) })
	assert.True(t, isSame, "every point in one trace, in order")
	var alone []Pass
	for i := len(traces) - 1; i >= 0; i-- {
		passes, _ := newTestBuilder(n).Build(traces[i])
		alone = append(slices.Clone(passes), alone...)
		var again [][]Point
		s := NewSplitter(DefaultSettings(), func(trace []Point) { again = append(again, slices.Clone(trace)) })
		for _, p := range traces[i] {
			s.Add(p)
		}
		s.Flush()
		assert.Len(t, again, 1, "a trace cut anew is one trace")
	}
	assertSame(t, want, alone)
}

// Any run of traces, cut anew without those before and after it, is cut into the same traces, however sparse the points and wherever the
// truck wanders at its stops.
func TestNeighbouringTracesAreCutAlike(t *testing.T) {
	split := func(points []Point, settings Settings) (traces [][]Point) {
		s := NewSplitter(settings, func(trace []Point) { traces = append(traces, slices.Clone(trace)) })
		for _, p := range points {
			s.Add(p)
		}
		s.Flush()
		return traces
	}
	begins := func(traces [][]Point) (atMS []int64) {
		for _, trace := range traces {
			atMS = append(atMS, trace[0].AtMS)
		}
		return atMS
	}
	settings, atStops := DefaultSettings(), 0
	gapMS := settings.PassGapMin * 60_000
	for seed := range uint64(600) {
		random := rand.New(rand.NewPCG(seed, 5))
		stepMS, scatter := gapMS*[]float64{0.02, 0.2, 0.4, 0.6, 0.95}[random.IntN(5)], []float64{10, 40, 80,
			150}[random.IntN(4)]/metresADegree
		var points []Point
		atMS, lat := beganMS, 45.0
		for range 150 {
			atMS += 1 + int64(stepMS*(0.2+0.8*random.Float64()))
			if random.IntN(6) == 0 {
				lat += 0.003 * random.NormFloat64()
			}
			points = append(points, Point{AtMS: atMS, Lat: lat + scatter*random.NormFloat64(), Lon: planeLon,
				SpeedMPH: 10 * random.Float64()})
		}
		traces := split(points, settings)
		atStops += len(traces) - 1 // the points are never a gap apart
		for from := range traces {
			for to := from + 1; to <= min(from+5, len(traces)); to++ {
				require.Equal(t, begins(traces[from:to]), begins(split(slices.Concat(traces[from:to]...), settings)), "seed %d", seed)
			}
		}
	}
	assert.Greater(t, atStops, 1000)
}

// The same drive backwards gives the same stretches, from and to exchanged.
func TestReversedDrive(t *testing.T) {
	n := testNetwork(t)
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		turn := rapid.Float64Range(0.3, 0.9).Draw(t, "turn")
		points, _ := noisy(rapid.Float64Range(0, 10).Draw(t, "noise"), seed).drive(n,
			[]leg{treat(mainRoad, 0.1, 1), treat(branch, 0, turn), treat(branch, turn, 0), treat(mainRoad, 1, 0.2)})
		for i := range points {
			points[i].TotalLb = math.NaN()
		}
		forward, _ := build(newTestBuilder(n), points)
		slices.Reverse(points)
		for i := range points {
			points[i].AtMS = 2*beganMS - points[i].AtMS
		}
		back, _ := build(newTestBuilder(n), points)
		require.Len(t, back, len(forward))
		for i, p := range forward {
			q := back[len(back)-1-i]
			assert.Equal(t, p.Route, q.Route)
			assert.InDelta(t, p.FromMi, q.ToMi, 0.01)
			assert.InDelta(t, p.ToMi, q.FromMi, 0.01)
		}
	})
}

// Whatever the points: pounds of passes and without one are what the counter counted, miles lie on the route, times in the trace.
func TestPoundsAreConserved(t *testing.T) {
	n := testNetwork(t)
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 7))
		points := day(n, random.Uint64())
		for i := range points {
			p := &points[i]
			switch random.IntN(12) {
			case 0:
				p.TotalLb = math.NaN()
				if random.IntN(10) == 0 { // and from here on, or up to here
					silent := points[i:]
					if random.IntN(2) == 0 {
						silent = points[:i]
					}
					for k := range silent {
						silent[k].TotalLb = math.NaN()
					}
				}
			case 1:
				p.Spreading = Tri(random.IntN(3))
			case 2:
				p.PlowDown = Tri(random.IntN(3))
			case 3:
				p.Lon += 0.002 * random.NormFloat64()
			case 4:
				p.Material, p.Lanes = int32(random.IntN(3)), float64(1+random.IntN(2))
			case 5:
				if random.IntN(10) == 0 {
					p.TotalLb = 3000 * random.Float64()
				}
			}
		}
		s := NewSplitter(DefaultSettings(), nil)
		b := newTestBuilder(n)
		s.yield = func(trace []Point) {
			passes, counts := b.Build(trace)
			pounds := int64(0)
			for _, p := range passes {
				pounds += p.Pounds
				assert.GreaterOrEqual(t, p.Pounds, int64(0))
				assert.False(t, p.Basis == NoBasis && p.Pounds > 0, "pounds from somewhere")
				assert.LessOrEqual(t, p.BeganMS, p.EndedMS)
				assert.GreaterOrEqual(t, p.BeganMS, trace[0].AtMS)
				assert.LessOrEqual(t, p.EndedMS, trace[len(trace)-1].AtMS)
				assert.True(t, p.MatchShare > 0 && p.MatchShare <= 1, p.MatchShare)
				assert.True(t, n.Mile(p.Route, 0) <= p.FromMi && p.FromMi <= n.Mile(p.Route, n.LengthM(p.Route)), p.FromMi)
			}
			assert.GreaterOrEqual(t, counts.UnplacedULb, int64(0))
			assert.Equal(t, counts.FedULb, pounds+counts.UnplacedULb)
			assert.Equal(t, len(trace), counts.OnRoute+counts.OffNetwork+counts.Jumps+counts.Frozen)
		}
		for _, p := range points {
			s.Add(p)
		}
		s.Flush()
	})
}

// BenchmarkTrace: cutting, matching and building passes of a truck's day, points a second of one core.
func BenchmarkTrace(b *testing.B) {
	n := testNetwork(b)
	points := day(n, 8)
	builder := newTestBuilder(n)
	s := NewSplitter(DefaultSettings(), func(trace []Point) { builder.Build(trace) })
	b.ReportAllocs()
	var before, after syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &before))
	b.ResetTimer()
	for i := range b.N {
		if i%len(points) == 0 {
			s.Flush()
		}
		s.Add(points[i%len(points)])
	}
	s.Flush()
	b.StopTimer()
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &after))
	seconds := float64(after.Utime.Nano()-before.Utime.Nano()+after.Stime.Nano()-before.Stime.Nano()) / 1e9
	b.ReportMetric(float64(b.N)/seconds/1e6, "Mpoints/core-s")
}
