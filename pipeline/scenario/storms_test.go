package scenario_test

import (
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// wintry is one report that the simple rule calls wintry.
type wintry struct {
	at   time.Time
	zone string
	wet  bool // over a trace
}

// wintryReports reads the weather by a simple rule: SN, PL or freezing rain in a group; rain on pavement at or below
// freezing; blowing snow within six hours of such a report.
func wintryReports(t *testing.T) []wintry {
	t.Helper()
	stations := keys(t, "stations.csv", "station_id")
	var rows []row
	for _, r := range goodRows(t, "weather") {
		if r.cells["present_wx"] != "" {
			rows = append(rows, r)
		}
	}
	// all in UTC
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].cells["observed_at"][:16] < rows[j].cells["observed_at"][:16] })
	var all []wintry
	var last time.Time
	for _, r := range rows {
		wx, when := r.cells["present_wx"], mustAt(t, r.cells["observed_at"])
		pavement := r.number(t, "surface_f")
		if r.cells["surface_f"] == "" {
			pavement = r.number(t, "air_f")
		}
		falling := strings.ReplaceAll(wx, "BLSN", "")
		falls := strings.Contains(falling, "SN") || strings.Contains(falling, "PL") || strings.Contains(falling, "FZ") ||
			((strings.Contains(falling, "RA") || strings.Contains(falling, "DZ")) && pavement <= 32)
		blows := strings.Contains(wx, "BLSN") && !last.IsZero() && when.Sub(last) <= 6*time.Hour
		if falls {
			last = when
		}
		if falls || blows {
			all = append(all, wintry{when, stations[r.cells["station_id"]].cells["zone_id"], r.number(t, "precip_in") > 0})
		}
	}
	return all
}

func TestTheWeatherHoldsTheStormsOfTheTruth(t *testing.T) {
	var runs [][]wintry
	for _, w := range wintryReports(t) {
		last := len(runs) - 1
		if last < 0 || w.at.Sub(runs[last][len(runs[last])-1].at) > 6*time.Hour {
			runs = append(runs, nil)
			last++
		}
		runs[last] = append(runs[last], w)
	}
	var storms [][]wintry
	for _, run := range runs {
		if len(run) > 1 {
			storms = append(storms, run)
		}
	}
	flurries := 0
	for _, f := range demoTruth.Flurries {
		flurries += f.Count
	}
	assert.Equal(t, flurries, len(runs)-len(storms))
	require.Len(t, storms, len(demoTruth.Storms))
	for i, run := range storms {
		s := demoTruth.Storms[i]
		assert.Equal(t, s.BeganAt, run[0].at.Format(time.RFC3339), s.StormID)
		for _, z := range s.Zones {
			began, ended := span(run, z.ZoneID)
			if z.IsDry {
				assert.True(t, began.IsZero(), s.StormID)
				continue
			}
			assert.Equal(t, [2]string{z.BeganAt, z.EndedAt}, [2]string{began.Format(time.RFC3339), ended.Format(time.RFC3339)}, s.StormID)
		}
	}
}

func span(run []wintry, zoneID string) (began, ended time.Time) {
	for _, w := range run {
		if w.zone == zoneID {
			if began.IsZero() {
				began = w.at
			}
			ended = w.at
		}
	}
	return began, ended
}

func TestTheSeasonsStorms(t *testing.T) {
	count, kinds, open := map[string]int{}, map[string]int{}, []string{}
	ids := map[string]bool{}
	for _, s := range demoTruth.Storms {
		count[s.Season]++
		kinds[s.Kind]++
		ids[s.StormID] = true
		if s.IsOpen {
			open = append(open, s.StormID)
		}
	}
	assert.Len(t, ids, len(demoTruth.Storms))
	assert.Equal(t, map[string]int{"2027-28": 26, "2028-29": 25}, count)
	for _, kind := range []string{"snow", "freezing rain", "sleet", "mixed", "blowing snow"} {
		assert.GreaterOrEqual(t, kinds[kind], 3, kind)
	}
	assert.Equal(t, []string{demoTruth.Planted.OpenStormID}, open)
	assert.Equal(t, demoTruth.Storms[len(demoTruth.Storms)-1].StormID, open[0])
	assert.Contains(t, ids, "ZD-20280118b")
}

func TestRainAboveFreezingAndDryColdAreNoStorms(t *testing.T) {
	warmRain, dryCold := 0, 0
	for _, r := range goodRows(t, "weather") {
		wx := strings.TrimLeft(r.cells["present_wx"], "+-")
		if (wx == "RA" || wx == "DZ") && r.number(t, "surface_f") > 34 {
			warmRain++
		}
		if wx == "" && r.number(t, "air_f") < 8 {
			dryCold++
		}
	}
	assert.Greater(t, warmRain, 200)
	assert.Greater(t, dryCold, 200)
}

func TestTheDataEndWithTheLastReport(t *testing.T) {
	var last time.Time
	columns := map[string][]string{"weather": {"observed_at"}, "passes": {"ended_at", "began_at"}, "tickets": {"loaded_at"},
		"conditions": {"observed_at"}, "stock": {"at"}}
	for feed, names := range columns {
		for _, r := range goodRows(t, feed) {
			for _, name := range names {
				if when := mustAt(t, r.cells[name]); when.After(last) {
					last = when
				}
			}
		}
	}
	assert.Equal(t, demoTruth.AsOfAt, last.Format(time.RFC3339))
}
