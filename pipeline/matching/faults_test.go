package matching

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func testNetwork(t require.TestingT) *Network {
	n, err := NewNetwork(testRoutes(), DefaultSettings())
	require.NoError(t, err)
	return n
}

func kinds(places []Place) map[Kind]int {
	count := map[Kind]int{}
	for _, place := range places {
		count[place.Kind]++
	}
	return count
}

// mainFixes is a clean drive along the main road, one position every 10 s.
func mainFixes(n *Network) []Fix {
	fixes, _ := drive(n, []leg{along(n, mainRoad, 0, 1, 15)}, 10, 0, rand.New(rand.NewPCG(1, 1)))
	return fixes
}

func TestJumpIsLeftOut(t *testing.T) {
	n := testNetwork(t)
	fixes := mainFixes(n)
	far := plane(40000, 40000)
	fixes[20].Lon, fixes[20].Lat = far[0], far[1]
	places := match(n, fixes)
	assert.Equal(t, Jump, places[20].Kind)
	assert.Equal(t, map[Kind]int{OnRoute: len(fixes) - 1, Jump: 1}, kinds(places))
}

func TestJumpsThatAgreeAreBelieved(t *testing.T) {
	n := testNetwork(t)
	fixes := mainFixes(n)
	_, north := metresPerDegree(planeLat)
	for i := 20; i < len(fixes); i++ {
		fixes[i].Lat += 40000 / north
	}
	places := match(n, fixes)
	assert.Equal(t, map[Kind]int{OnRoute: 20, Jump: 2, OffNetwork: len(fixes) - 22}, kinds(places))
}

func TestFrozenReceiver(t *testing.T) {
	n := testNetwork(t)
	fixes, clean := mainFixes(n), mainFixes(n)
	for i := 21; i < 26; i++ {
		fixes[i].Lon, fixes[i].Lat = fixes[20].Lon, fixes[20].Lat
	}
	assert.Equal(t, map[Kind]int{OnRoute: len(fixes) - 5, Frozen: 5}, kinds(match(n, fixes)))
	for i := 20; i < len(fixes); i++ { // the same, parked for 50 s: the receiver is well
		if i < 26 {
			fixes[i].SpeedMPH = 0
		} else {
			fixes[i].Lon, fixes[i].Lat = clean[i-5].Lon, clean[i-5].Lat
		}
	}
	assert.Equal(t, map[Kind]int{OnRoute: len(fixes)}, kinds(match(n, fixes)))
	for i := range fixes { // no speed reported: nothing to hold against it
		fixes[i].SpeedMPH = math.NaN()
	}
	assert.Equal(t, map[Kind]int{OnRoute: len(fixes)}, kinds(match(n, fixes)))
}

// A receiver that is frozen for longer than BreakS stays so to its last position, and the first that moves is believed.
func TestReceiverFrozenForLong(t *testing.T) {
	n := testNetwork(t)
	fixes := mainFixes(n)
	frozen := int(n.settings.BreakS/10) + 12
	var long []Fix
	long = append(long, fixes[:21]...)
	for i := range frozen {
		at := fixes[20]
		at.AtMS += int64(i+1) * 10_000
		long = append(long, at)
	}
	for _, fix := range fixes[21:] {
		fix.AtMS += int64(frozen) * 10_000
		long = append(long, fix)
	}
	assert.Equal(t, map[Kind]int{OnRoute: len(fixes), Frozen: frozen}, kinds(match(n, long)))
}

func TestRepeatedAndLatePositions(t *testing.T) {
	n := testNetwork(t)
	fixes := mainFixes(n)
	with := append(append(append([]Fix{}, fixes[:10]...), fixes[9], fixes[3]), fixes[10:]...)
	places := match(n, with)
	assert.Equal(t, Repeated, places[10].Kind)
	assert.Equal(t, Repeated, places[11].Kind)
	assert.Equal(t, match(n, fixes)[10:], places[12:])
}

// A tunnel: no positions for a minute and a half of driving; the truck is on the same road before and after.
func TestTunnel(t *testing.T) {
	n := testNetwork(t)
	fixes := mainFixes(n)
	fixes = append(append([]Fix{}, fixes[:15]...), fixes[24:]...)
	assert.Equal(t, map[Kind]int{OnRoute: len(fixes)}, kinds(match(n, fixes)))
}

// A parked truck's positions scatter; they stay on the road it is parked on, where another crosses above.
func TestParkedUnderTheBridge(t *testing.T) {
	n := testNetwork(t)
	random := rand.New(rand.NewPCG(3, 3))
	at := position(n, mainRoad, n.LengthM(mainRoad)*0.371)
	fixes, _ := drive(n, []leg{along(n, mainRoad, 0, 0.371, 15)}, 10, 8, random)
	eastM, northM := metresPerDegree(planeLat)
	for range 50 {
		last := fixes[len(fixes)-1]
		fixes = append(fixes, Fix{AtMS: last.AtMS + 10000, Lon: at[0] + 8*random.NormFloat64()/eastM,
			Lat: at[1] + 8*random.NormFloat64()/northM})
	}
	for i, place := range match(n, fixes) {
		assert.Equal(t, mainRoad, place.Route, "position %d", i)
	}
}

func TestMilesFallWhereALineIsNumberedBackwards(t *testing.T) {
	n := testNetwork(t)
	assert.InDelta(t, 3, n.Mile(nearRoad, 0), 1e-12)
	assert.InDelta(t, 1, n.Mile(nearRoad, n.LengthM(nearRoad)), 1e-12)
	assert.InDelta(t, 12.5, n.Mile(mainRoad, n.LengthM(mainRoad)/2), 1e-12)
	assert.InDelta(t, n.LengthM(sideRoad)/1609.344, n.Mile(sideRoad, n.LengthM(sideRoad)), 1e-9,
		"without miles the line's own count from 0")
}

func TestUnusableLines(t *testing.T) {
	for _, line := range []orb.LineString{nil, {{1, 2}}, {{1, 2}, {1, 2}}, {{1, 2}, {1, 91}}, {{math.NaN(), 2}, {1, 3}}} {
		_, err := NewNetwork([]Route{{ID: "r", Line: line}}, DefaultSettings())
		assert.ErrorContains(t, err, `route "r"`)
	}
	n, err := NewNetwork(nil, DefaultSettings())
	require.NoError(t, err)
	assert.Equal(t, OffNetwork, match(n, []Fix{{AtMS: 1, Lon: 5, Lat: 5}})[0].Kind)
}

func TestThroughJunctionsOnly(t *testing.T) {
	n := testNetwork(t)
	mainM, bridgeM := n.LengthM(mainRoad), n.LengthM(bridgeRoad)
	w := newWays(n)
	dist, exit, entry, ok := w.through(mainRoad, 0, bridgeRoad, bridgeM, 20_000)
	require.True(t, ok)
	onRamp := n.LengthM(ramp)
	assert.InDelta(t, exit+onRamp+bridgeM-entry, dist, 1e-6, "by the ramp, not where the roads cross")
	_, _, _, ok = w.through(mainRoad, mainM/2, nearRoad, 100, 20_000)
	assert.False(t, ok)
}

// Whatever comes, each position is told once, and no memory is kept of it.
func TestEveryPositionIsToldOnce(t *testing.T) {
	n := testNetwork(t)
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(0, 400).Draw(t, "count")
		told := map[int]int{}
		var order []int
		m := NewMatcher(n, func(index int, place Place) {
			told[index]++
			if place.Kind <= OnRoute {
				order = append(order, index)
			}
			assert.Equal(t, place.Kind == OnRoute, place.Route != NoRoute)
			assert.False(t, math.IsNaN(place.AlongM))
			assert.True(t, place.Confidence >= 0 && place.Confidence <= 1)
		})
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		ms, x, y := int64(0), 3000.0, 0.0
		for range count {
			ms += int64(random.IntN(20000)) - 200
			if random.IntN(100) == 0 {
				ms += 700_000
			}
			x, y = x+300*(random.Float64()-0.5), y+300*(random.Float64()-0.5)
			at := plane(x, y)
			m.Add(Fix{AtMS: ms, Lon: at[0], Lat: at[1], SpeedMPH: 20 * random.Float64()})
		}
		m.Flush()
		assert.Len(t, told, count)
		for index, times := range told {
			assert.Equal(t, 1, times, "position %d", index)
		}
		assert.IsIncreasing(t, append([]int{-2, -1}, order...))
	})
}
