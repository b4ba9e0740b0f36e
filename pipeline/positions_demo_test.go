package pipeline

import (
	"context"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/scenario"
)

// TestPositionsTallyAsSheetsDo: two nights, one over the demo district and one over the same winters with the harbor's second season on
// pass sheets. The sheets' rows are the drives behind the positions, which the generator knows and the night does not. Tolerances, of a
// route in a storm: 2 % of the lane-miles and of the pounds (trucks turn between two positions, and what they say holds to the next), 15 s
// of the first application, and as many rounds; over the season 0.5 % of either. Nothing of the other zones changes.
func TestPositionsTallyAsSheetsDo(t *testing.T) {
	d := runDemoNight(t)
	dir := filepath.Join(t.TempDir(), "sheets")
	_, err := scenario.Write(dir, scenario.Options{SheetsOnly: true})
	require.NoError(t, err)
	now, err := time.Parse(time.RFC3339, demoNow)
	require.NoError(t, err)
	_, err = Nightly(context.Background(), NightlyOptions{Dir: dir, Now: now, Words: io.Discard})
	require.NoError(t, err)
	sheets := demoNight{dir, d.truth}.export(t, "storm_routes")
	positions := d.export(t, "storm_routes")
	require.Len(t, positions, len(sheets))
	sums := map[string][2]float64{}
	compared := 0
	for i, want := range sheets {
		got := positions[i]
		if want["zone_id"] != d.truth.Positions.ZoneID || want["season"] != d.truth.Positions.Season {
			assert.Equal(t, want, got)
			continue
		}
		compared++
		at := want["storm_id"] + " " + want["route_id"]
		for _, column := range []string{"storm_id", "route_id", "material_class", "form", "crew_ids", "rounds", "unmeasured_passes"} {
			assert.Equal(t, want[column], got[column], "%s: %s", at, column)
		}
		for _, column := range []string{"treated_lane_miles", "applied_lb", "rate_lb_per_lane_mi", "applications", "covered_share"} {
			assert.InEpsilon(t, number(t, want[column]), number(t, got[column]), 0.02, "%s: %s", at, column)
			sums[column] = [2]float64{sums[column][0] + number(t, want[column]), sums[column][1] + number(t, got[column])}
		}
		assert.InDelta(t, number(t, want["cold_share"]), number(t, got["cold_share"]), 0.02, at)
		assert.InDelta(t, number(t, want["onset_lag_min"]), number(t, got["onset_lag_min"]), 0.25, at)
	}
	require.Greater(t, compared, 50)
	for _, column := range []string{"treated_lane_miles", "applied_lb"} {
		t.Logf("%s: %.1f by sheets, %.1f by positions", column, sums[column][0], sums[column][1])
		assert.InEpsilon(t, sums[column][0], sums[column][1], 0.005, column)
	}
}

// TestPositionsFindTheDemosTruth: the stretch that was missed and the one that was doubled are on the strip at their miles, to a tenth; no
// pass is weak; the pass by pass tally is that of truth.json.
func TestPositionsFindTheDemosTruth(t *testing.T) {
	d := runDemoNight(t)
	l, truth := d.ledger(t), d.truth.Positions
	type span struct {
		StormID string  `db:"storm_id"`
		FromMi  float64 `db:"from_mi"`
		ToMi    float64 `db:"to_mi"`
	}
	inState := func(state, routeID string, leastMi float64) []span {
		spans, err := ledger.ReadTable[span](t.Context(), l,
			`select storm_id, min(from_mi) as from_mi, max(to_mi) as to_mi from coverage_spans
			where state = ? and route_id = ? and season = ? group by storm_id having max(to_mi) - min(from_mi) > ? order by
				storm_id`, state, routeID, truth.Season, leastMi)
		require.NoError(t, err)
		return spans
	}
	for state, want := range map[string]scenario.SpanTruth{"missed": truth.Missed, "doubled": truth.Doubled} {
		spans := inState(state, want.RouteID, 0.3)
		require.Len(t, spans, 1, state)
		assert.Equal(t, want.StormID, spans[0].StormID)
		assert.LessOrEqual(t, math.Abs(want.FromMi-spans[0].FromMi), 0.1+1e-9, state)
		assert.LessOrEqual(t, math.Abs(want.ToMi-spans[0].ToMi), 0.1+1e-9, state)
	}
	type sums struct {
		Passes int64   `db:"passes"`
		Lb     float64 `db:"lb"`
	}
	got, err := ledger.ReadTable[sums](t.Context(), l, `select count(*) as passes, sum(applied_lb) as lb from storm_passes
		where zone_id = ? and season = ? and lane_miles > 0.1`, truth.ZoneID, truth.Season)
	require.NoError(t, err)
	lb := 0.0
	for _, p := range truth.Passes {
		lb += p.DispensedLb
	}
	assert.Equal(t, int64(len(truth.Passes)), got[0].Passes)
	assert.InEpsilon(t, lb, got[0].Lb, 0.005)
	for _, row := range d.export(t, "weak_passes") { // a yard beside a route may give a scrap of a pass
		if row["reason"] != "off the network" {
			assert.Less(t, must(strconv.ParseFloat(row["miles"], 64)), 0.01, row["reason"])
			assert.Less(t, must(strconv.ParseFloat(row["dispensed_lb"], 64)), 5.0, row["reason"])
		}
	}
}
