package scenario_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// rounds sums the lane-miles of the passes made in storms on the routes of pairs, by whether they put down solids of the class, over the
// routes' lane-miles.
type rounds struct{ all, treated float64 }

// TestRoundsAreAlikeForBothClasses: trucks with either material come by as often, and treat as often: claim 4 is planted as 1.
func TestRoundsAreAlikeForBothClasses(t *testing.T) {
	routes, paired := keys(t, "routes.csv", "route_id"), map[string]bool{}
	for _, p := range reference(t, "pairs.csv") {
		paired[p.cells["acetate_route_id"]], paired[p.cells["chloride_route_id"]] = true, true
	}
	require.Len(t, paired, 12)
	isAcetate := func(routeID, season string) bool {
		for _, a := range reference(t, "assignments.csv") {
			if a.cells["route_id"] == routeID && a.cells["material_class"] == "acetate" && a.cells["from_date"][:4] <= season {
				return true
			}
		}
		return false
	}
	sums, number := map[bool]*rounds{true: {}, false: {}}, map[bool]map[string]bool{true: {}, false: {}}
	times := stormTimes(t)
	for _, r := range goodRows(t, "passes") {
		route := routes[r.cells["route_id"]]
		if !paired[r.cells["route_id"]] || r.cells["purpose"] != "storm" || demoTruth.Planted.LentRouteID == r.cells["route_id"] {
			continue
		}
		storm, _ := stormOf(t, times, r, route.cells["zone_id"])
		class := isAcetate(r.cells["route_id"], demoTruth.Storms[storm].Season[:4])
		share := laneMiles(t, r, route) / route.number(t, "lane_miles")
		sums[class].all += share
		if r.cells["material_id"] != "" {
			sums[class].treated += share
		}
		number[class][demoTruth.Storms[storm].StormID+r.cells["route_id"]] = true
	}
	perStorm := func(class bool, lm float64) float64 { return lm / float64(len(number[class])) }
	require.Greater(t, len(number[true]), 150)
	assert.InEpsilon(t, perStorm(false, sums[false].all), perStorm(true, sums[true].all), 0.05, "rounds in a storm")
	assert.InEpsilon(t, perStorm(false, sums[false].treated), perStorm(true, sums[true].treated), 0.05, "applications in a storm")
	for _, c := range demoTruth.Claims {
		if c.Claim == 4 {
			assert.InDelta(t, 1, c.Figure, 1e-12)
		}
	}
}

// TestPlantedFiguresOfTheClaims works the other figures out from the law and the passes as delivered. Roads: at 24 F a salt road is bare
// after 3 h and an acetate one after 3 h x 0.9608, the next look comes half of 55 min later: (1 + 2.8824 + 0.4583) / (1 + 3 + 0.4583) =
// 0.9736; colder storms make little of it.
func TestPlantedFiguresOfTheClaims(t *testing.T) {
	require.Len(t, demoTruth.Claims, 10)
	slopes, mean := map[string]float64{}, 0.0
	for _, c := range demoTruth.Learning {
		slopes[c.CrewID] = c.PerDoubling
		mean += c.PerDoubling / 6
	}
	for i, c := range demoTruth.Claims {
		assert.Equal(t, [2]any{[]string{"2027-28", "2028-29"}[i/5], i%5 + 1}, [2]any{c.Season, c.Claim})
		switch c.Claim {
		case 1:
			assert.InDelta(t, 0.9736, c.Figure, 0.002)
		case 2:
			assert.InDelta(t, 1.37, c.Figure, 1e-12)
		case 3:
			assert.InDelta(t, math.Exp(mean), c.Figure, 1e-12)
		case 5:
			assert.InEpsilon(t, poundsOnTheLine(t, c.Season, slopes), c.Figure, 1e-3, c.Season)
		}
	}
}

// poundsOnTheLine is the straight line on experience through the acetate pounds that reached the road up to a season's end, over salt's, at
// the median of the crews' latest experience.
func poundsOnTheLine(t *testing.T, season string, slopes map[string]float64) float64 {
	t.Helper()
	prior := map[string]map[int]float64{}
	for _, s := range shares(t) {
		if prior[s.crewID] == nil {
			prior[s.crewID] = map[int]float64{}
		}
		prior[s.crewID][s.storm] = s.prior
	}
	right := 1.0
	for _, s := range demoTruth.Spreaders {
		if s.TruckID == demoTruth.MisSet.TruckID {
			right = s.Ratio
		}
	}
	since, times, routes := mustAt(t, demoTruth.MisSet.SinceAt), stormTimes(t), keys(t, "routes.csv", "route_id")
	type place struct {
		storm   int
		routeID string
	}
	lb, x, y, latest := map[place]float64{}, map[place]float64{}, map[place]float64{}, map[string]float64{}
	for _, r := range goodRows(t, "passes") {
		storm, _ := stormOf(t, times, r, routes[r.cells["route_id"]].cells["zone_id"])
		isOfSolids := r.cells["material_id"] == "cma" && r.cells["purpose"] != "frost" && r.cells["from_mi"] != r.cells["to_mi"]
		if !isOfSolids || demoTruth.Storms[storm].IsOpen || demoTruth.Storms[storm].Season > season {
			continue
		}
		crewID, key, pounds := r.cells["crew_id"], place{storm, r.cells["route_id"]}, r.number(t, "dispensed_lb")
		crewX := math.Log2(1 + prior[crewID][storm])
		lnRatio := math.Log(1.37) + slopes[crewID]*crewX
		if r.cells["truck_id"] == demoTruth.MisSet.TruckID && !mustAt(t, r.cells["began_at"]).Before(since) {
			lnRatio += math.Log(demoTruth.MisSet.Ratio / right)
		}
		lb[key], x[key], y[key] = lb[key]+pounds, x[key]+pounds*crewX, y[key]+pounds*lnRatio
		latest[crewID] = max(latest[crewID], crewX)
	}
	var xs, ys, ends []float64
	for key := range lb {
		xs, ys = append(xs, x[key]/lb[key]), append(ys, y[key]/lb[key])
	}
	for _, end := range latest {
		ends = append(ends, end)
	}
	require.Len(t, ends, 6)
	a, b := stat.LinearRegression(xs, ys, nil, false)
	return math.Exp(a + b*medianOfSix(ends))
}

func medianOfSix(values []float64) float64 {
	low, high := math.Inf(-1), math.Inf(1) // the third and fourth of six: three lie at or below the one, three at or above the other
	for _, v := range values {
		below, above := 0, 0
		for _, other := range values {
			if other < v {
				below++
			}
			if other > v {
				above++
			}
		}
		if below <= 2 {
			low = max(low, v)
		}
		if above <= 2 {
			high = min(high, v)
		}
	}
	return (low + high) / 2
}
