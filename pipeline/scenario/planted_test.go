package scenario_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPlantedPassesAreCounted(t *testing.T) {
	p := demoTruth.Planted
	var spots, pretreats, frosts, drifts, late, corrected int
	var spotLb float64
	for _, r := range goodRows(t, "passes") {
		if r.file == p.CorrectedFile {
			corrected++
			continue
		}
		if r.cells["from_mi"] == r.cells["to_mi"] && r.cells["lane_miles"] == "" {
			spots++
			spotLb += r.number(t, "dispensed_lb")
		}
		if r.cells["purpose"] == "pretreat" && r.number(t, "dispensed_gal") > 0 {
			pretreats++
		}
		if r.cells["purpose"] == "frost" {
			frosts++
		}
		if r.cells["purpose"] == "drift" {
			drifts++
		}
		if r.file == p.LateFile {
			late++
		}
	}
	assert.Equal(t, []int{p.Spots, p.PretreatLiquid, p.FrostPasses, p.DriftPasses, p.LatePasses, p.CorrectedRows + 1},
		[]int{spots, pretreats, frosts, drifts, late, corrected})
	assert.InDelta(t, p.SpotLb, spotLb, 1e-6)
	for name, n := range map[string]int{"spots": spots, "pretreats": pretreats, "frosts": frosts, "drifts": drifts, "late": late} {
		assert.Positive(t, n, name)
	}
}

// TestFrostPassesHaveFrostUnderThem: the zone's station reports pavement at or below both 32 F and the dew point, without precipitation,
// at least twice before the pass ends and no more than 2 h apart. That frost forms on such a surface is common practice.
func TestFrostPassesHaveFrostUnderThem(t *testing.T) {
	stations, zoneOf, white := keys(t, "stations.csv", "zone_id"), map[string]string{}, map[string][]time.Time{}
	for zoneID, station := range stations {
		zoneOf[station.cells["station_id"]] = zoneID
	}
	for _, r := range goodRows(t, "weather") {
		isWet := r.cells["precip_in"] == "T" || r.number(t, "precip_in") > 0 || r.cells["present_wx"] != "" && r.cells["present_wx"] != "BR"
		if r.cells["surface_f"] != "" && r.number(t, "surface_f") <= min(32, r.number(t, "dew_f")) && !isWet {
			zoneID := zoneOf[r.cells["station_id"]]
			white[zoneID] = append(white[zoneID], mustAt(t, r.cells["observed_at"]))
		}
	}
	routes := keys(t, "routes.csv", "route_id")
	for _, r := range goodRows(t, "passes") {
		if r.cells["purpose"] != "frost" {
			continue
		}
		began, n := mustAt(t, r.cells["began_at"]), 0
		for _, seen := range white[routes[r.cells["route_id"]].cells["zone_id"]] {
			if before := began.Sub(seen); before >= 0 && before <= 2*time.Hour {
				n++
			}
		}
		assert.GreaterOrEqual(t, n, 2, r.raw)
	}
}

func TestTheLateFileHoldsEarlierRows(t *testing.T) {
	for _, r := range goodRows(t, "passes") {
		if r.file == demoTruth.Planted.LateFile {
			assert.True(t, strings.HasPrefix(r.cells["began_at"], "2028-12"), r.cells["began_at"])
		}
	}
}

func TestTheCorrectedFileLowersPounds(t *testing.T) {
	first, over := map[string]float64{}, 0.0
	for _, r := range goodRows(t, "passes") {
		id := r.cells["pass_id"]
		if was, has := first[id]; has && id != "" {
			over += was - r.number(t, "dispensed_lb")
		}
		first[id] = r.number(t, "dispensed_lb")
	}
	assert.InDelta(t, demoTruth.Planted.CorrectedOverLb, over, 1e-6)
	assert.Positive(t, over)
}

func TestTheLentTruckIsUnknownAndItsPoundsAreTold(t *testing.T) {
	p := demoTruth.Planted
	rows, lb := 0, 0.0
	for _, r := range readFeed(t, "passes") {
		if r.cells["truck_id"] == p.LentTruckID {
			rows++
			lb += r.number(t, "dispensed_lb")
			assert.Equal(t, p.LentRouteID, r.cells["route_id"])
		}
	}
	assert.Equal(t, p.LentPasses, rows)
	assert.InDelta(t, p.LentLb, lb, 1e-6)
	assert.Positive(t, rows)
}

func TestOneGaragesLogIsMissingForOneStorm(t *testing.T) {
	p := demoTruth.Planted
	routes := keys(t, "routes.csv", "route_id")
	var began, ended time.Time
	for _, s := range demoTruth.Storms {
		if s.StormID == p.UnloggedStormID {
			began, ended = mustAt(t, s.BeganAt), mustAt(t, s.Zones[1].EndedAt)
		}
	}
	require.False(t, began.IsZero())
	byZone := map[string]int{}
	for _, r := range goodRows(t, "passes") {
		if when := mustAt(t, r.cells["began_at"]); !when.Before(began) && !when.After(ended) {
			byZone[routes[r.cells["route_id"]].cells["zone_id"]]++
		}
	}
	assert.Zero(t, byZone[p.UnloggedZoneID])
	assert.Greater(t, byZone["ridge"]+byZone["shore"], 20)
	assert.Positive(t, p.UnloggedPasses)
}

// TestTheRepeatedHourCanBeRead reads the clock-change night by the rule for local times: in the repeated hour a begin not
// later than its truck's begin before it is the second reading, and so is an end before its begin.
func TestTheRepeatedHourCanBeRead(t *testing.T) {
	p := demoTruth.Planted
	truth := map[string][2]string{}
	for _, c := range p.ClockPasses {
		truth[c.PassID] = [2]string{c.BeganAt, c.EndedAt}
	}
	require.GreaterOrEqual(t, len(truth), 4)
	last, seconds, read := map[string]time.Time{}, 0, 0
	for _, r := range goodRows(t, "passes") {
		if r.file != p.ClockFile {
			continue
		}
		began, ended := mustAt(t, r.cells["began_at"]), mustAt(t, r.cells["ended_at"])
		if isRepeated(r.cells["began_at"]) && !began.After(last[r.cells["truck_id"]]) {
			began = began.Add(time.Hour)
			seconds++
		}
		if isRepeated(r.cells["ended_at"]) && ended.Before(began) {
			ended = ended.Add(time.Hour)
		}
		last[r.cells["truck_id"]] = began
		if want, has := truth[r.cells["pass_id"]]; has {
			assert.Equal(t, want, [2]string{began.Format(time.RFC3339), ended.Format(time.RFC3339)}, r.cells["pass_id"])
			read++
		}
	}
	assert.Equal(t, len(truth), read)
	assert.Positive(t, seconds)
}

func isRepeated(text string) bool { return strings.HasPrefix(text, "2028-11-05 01:") }

// TestRoadsHold: acetate roads are bare no later than the others.
func TestRoadsHold(t *testing.T) {
	first := map[[2]string]time.Time{}
	ends := map[[2]string]time.Time{}
	routes := keys(t, "routes.csv", "route_id")
	for _, s := range demoTruth.Storms {
		for _, z := range s.Zones {
			if !z.IsDry {
				ends[[2]string{s.StormID, z.ZoneID}] = mustAt(t, z.EndedAt)
			}
		}
	}
	for _, r := range goodRows(t, "conditions") {
		when := mustAt(t, r.cells["observed_at"])
		if !strings.HasPrefix(r.cells["cover"], "bare") {
			continue
		}
		for k, end := range ends {
			if k[1] == routes[r.cells["route_id"]].cells["zone_id"] && when.After(end) && when.Sub(end) < 24*time.Hour {
				key := [2]string{k[0], r.cells["route_id"]}
				if was, has := first[key]; !has || when.Before(was) {
					first[key] = when
				}
			}
		}
	}
	var hours, n [2]float64
	for key, when := range first {
		class := 0
		if strings.HasSuffix(key[1], "-01") { // on acetate in both seasons
			class = 1
		}
		hours[class] += when.Sub(ends[[2]string{key[0], routes[key[1]].cells["zone_id"]}]).Hours()
		n[class]++
	}
	require.Greater(t, n[1], 80.0)
	assert.Less(t, hours[1]/n[1], hours[0]/n[0]+0.2)
	assert.InDelta(t, 3.5, hours[0]/n[0], 1.5)
}
