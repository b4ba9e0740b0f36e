package scenario_test

import (
	"math"
	"sort"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lanetally/pipeline/scenario"
)

// share is what one crew put down on one route in one storm, in salt or acetate pellets.
type share struct {
	storm                      int
	crewID, routeID            string
	isAcetate                  bool
	dispensedLb, laneMi, prior float64
	zone                       scenario.ZoneTruth
}

// shares sums the good passes with pounds by storm, crew, route and class, with the crews' experience.
func shares(t *testing.T) []share {
	t.Helper()
	if sharesOnce != nil {
		return sharesOnce
	}
	times := stormTimes(t)
	routes := keys(t, "routes.csv", "route_id")
	inForce := map[string]row{}
	for _, r := range goodRows(t, "passes") {
		inForce[keyOf(r)] = r
	}
	type cell struct {
		storm           int
		crewID, routeID string
		isAcetate       bool
	}
	sums := map[cell]*share{}
	worked := map[string]map[int]bool{}
	for _, r := range inForce {
		zone := routes[r.cells["route_id"]].cells["zone_id"]
		storm, at := stormOf(t, times, r, zone)
		material := r.cells["material_id"]
		if storm < 0 {
			continue
		}
		if material == "cma" || material == "ka50" {
			if worked[r.cells["crew_id"]] == nil {
				worked[r.cells["crew_id"]] = map[int]bool{}
			}
			worked[r.cells["crew_id"]][storm] = true
		}
		laneMi := laneMiles(t, r, routes[r.cells["route_id"]])
		if (material != "salt" && material != "cma") || laneMi == 0 || r.number(t, "dispensed_lb") == 0 {
			continue
		}
		key := cell{storm, r.cells["crew_id"], r.cells["route_id"], material == "cma"}
		if sums[key] == nil {
			sums[key] = &share{storm: storm, crewID: key.crewID, routeID: key.routeID, isAcetate: key.isAcetate, zone: at}
		}
		sums[key].dispensedLb += r.number(t, "dispensed_lb")
		sums[key].laneMi += laneMi
	}
	var all []share
	crews := keys(t, "crews.csv", "crew_id")
	for _, s := range sums {
		s.prior = crews[s.crewID].number(t, "prior_acetate_storms")
		for storm := range worked[s.crewID] {
			if storm < s.storm {
				s.prior++
			}
		}
		all = append(all, *s)
	}
	sort.Slice(all, func(i, j int) bool {
		a, b := all[i], all[j]
		return a.storm < b.storm || (a.storm == b.storm && a.crewID+a.routeID < b.crewID+b.routeID)
	})
	sharesOnce = all
	return all
}

var sharesOnce []share // the tests only read them

// stormTimes are the begins and ends of each storm, by zone.
func stormTimes(t *testing.T) [][][2]time.Time {
	var all [][][2]time.Time
	for _, s := range demoTruth.Storms {
		var zones [][2]time.Time
		for _, z := range s.Zones {
			zones = append(zones, [2]time.Time{mustAt(t, z.BeganAt), mustAt(t, z.EndedAt)})
		}
		all = append(all, zones)
	}
	return all
}

// stormOf is the storm whose zone interval lies nearest the pass's begin, within half a day; -1: none.
func stormOf(t *testing.T, times [][][2]time.Time, r row, zoneID string) (int, scenario.ZoneTruth) {
	began := mustAt(t, r.cells["began_at"])
	best, nearest, zone := -1, 12*time.Hour, scenario.ZoneTruth{}
	for i, s := range demoTruth.Storms {
		for k, z := range s.Zones {
			from, to := times[i][k][0], times[i][k][1]
			away := max(from.Sub(began), began.Sub(to), 0)
			isLater := r.cells["purpose"] == "pretreat" && !from.Before(began) && away <= 48*time.Hour && best < 0
			if z.ZoneID == zoneID && (isLater || (r.cells["purpose"] != "pretreat" && away <= nearest)) {
				best, nearest, zone = i, away, z
			}
		}
	}
	return best, zone
}

func laneMiles(t *testing.T, r, route row) float64 {
	if given := r.number(t, "lane_miles"); given > 0 {
		return given
	}
	lanes := r.number(t, "lanes")
	if lanes == 0 {
		lanes = max(1, route.number(t, "lanes_per_pass"))
	}
	return math.Abs(r.number(t, "to_mi")-r.number(t, "from_mi")) * lanes
}

// fit is least squares by QR: one intercept a storm and a crew, then the law's covariates.
func fit(t *testing.T, rows []share, covariates func(share) []float64) []float64 {
	t.Helper()
	crewIDs := []string{"crew-1", "crew-2", "crew-3", "crew-4", "crew-5", "crew-7"}
	known := map[string]float64{} // the routes' effects as drawn: a route's class is no matter of its effect
	for _, e := range demoTruth.Law.Routes {
		known[e.ID] = e.Effect
	}
	require.Len(t, known, 17)
	storms := len(demoTruth.Storms)
	width := len(covariates(rows[0]))
	x := mat.NewDense(len(rows), storms+len(crewIDs)+width, nil)
	y := mat.NewVecDense(len(rows), nil)
	for i, r := range rows {
		x.Set(i, r.storm, 1)
		for k, crewID := range crewIDs {
			if crewID == r.crewID {
				x.Set(i, storms+k, 1)
			}
		}
		for k, v := range covariates(r) {
			x.Set(i, storms+len(crewIDs)+k, v)
		}
		y.SetVec(i, math.Log(r.dispensedLb/r.laneMi)-known[r.routeID])
	}
	var beta mat.VecDense
	require.NoError(t, beta.SolveVec(x, y))
	all := beta.RawVector().Data
	return all[len(all)-width:]
}

func TestThePassesFollowTheLaw(t *testing.T) {
	rows := shares(t)
	require.Greater(t, len(rows), 700)
	law := demoTruth.Law
	b := fit(t, rows, func(s share) []float64 {
		hours := mustAt(t, s.zone.EndedAt).Sub(mustAt(t, s.zone.BeganAt)).Hours()
		v := []float64{0, 0, 0, s.zone.AirFMean - law.MeanF, s.zone.PrecipIn/max(hours, 1) - law.MeanIntensity}
		if s.isAcetate {
			x := math.Log2(1 + s.prior)
			v[0], v[1] = 1, x
			if s.crewID == law.SlowCrewID {
				v[2] = x
			}
		}
		return v
	})
	assert.InDelta(t, 1.37, math.Exp(b[0]), 0.06, "start ratio")
	assert.InDelta(t, law.PerDoubling, b[1], 0.012, "per doubling")
	assert.InDelta(t, law.SlowSlope, b[2], 0.012, "slow crew")
	assert.InDelta(t, law.PerF, b[3], 0.012, "per degree")
	assert.InDelta(t, law.PerIntensity, b[4], 2, "per inch an hour")
	assert.InDelta(t, math.Exp(b[0]+b[1]*math.Log2(1+law.LatestStorms)), law.LatestRatio, 0.06, "latest ratio")
}

func TestExperienceIsAsTheDataTellIt(t *testing.T) {
	latest := map[string]float64{}
	for _, s := range shares(t) {
		latest[s.crewID] = max(latest[s.crewID], s.prior)
	}
	require.Len(t, demoTruth.Learning, 6)
	for _, c := range demoTruth.Learning {
		assert.InDelta(t, c.LatestPrior, latest[c.CrewID], 1, c.CrewID)
	}
	assert.InDelta(t, 1, demoTruth.Law.LatestRatio, 0.02)
}

func TestRatesArePlausible(t *testing.T) {
	var salt []float64
	for _, s := range shares(t) {
		rate := s.dispensedLb / s.laneMi
		assert.True(t, rate > 60 && rate < 900, "%s %s %.0f", s.crewID, s.routeID, rate)
		if !s.isAcetate {
			salt = append(salt, rate)
		}
	}
	sort.Float64s(salt)
	require.NotEmpty(t, salt)
	// 150 to 400 lb per lane-mile for salt: FHWA-RD-95-202 and the Maine DOT treatment table, as ranges.
	assert.Greater(t, salt[len(salt)/20], 120.0)
	assert.Less(t, salt[len(salt)*19/20], 420.0)
}
