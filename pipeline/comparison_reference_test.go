package pipeline

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// referenceTestdata holds inputs and R's results; its README says with which versions.
const referenceTestdata = "../testdata/reference"

// referenceInterval is a ratio with its 90 % interval, or a number of hours; P the larger p value of two one-sided tests.
type referenceInterval struct{ Ratio, Hours, Low, High, P *float64 }

// referenceSeason is a season row as R computes it.
type referenceSeason struct {
	Season                                              string
	Storms                                              int64
	Total, Applications, Typical, End, Regain, Adjusted referenceInterval
	ZeroAcetate                                         int64 `json:"zero_acetate"`
	ZeroChloride                                        int64 `json:"zero_chloride"`
}

// routeStormDDL makes what the steps from the routes to the comparison read, from rows of the data set.
const routeStormDDL = `
create table comparison_routes as select season, storm_id, zone_id, run_began_at, route_id, route_class,
    cast(round(lane_miles * 1e6) as bigint) as route_ulane_mi, cast(round(applied_lb * 1e6) as bigint) as applied_ulb, 0 as unplaced_ulb,
    cast(round(treated_lane_mi * 1e6) as bigint) as measured_ulane_mi, cast(round(treated_lane_mi * 1e6) as bigint) as treated_ulane_mi,
    0 as cost_uusd, cast(round(regain_h * 3.6e9) as bigint) as regain_us, left_out
from given_rows order by storm_id, route_id;
create table storms as select distinct season, storm_id, zone_id, run_began_at, false as is_open from given_rows;
create table crew_storms as select distinct storm_id, 'k' || place as crew_id, 'acetate' as material_class,
    cast(string_split(prior_storms, ';')[place] as bigint) as prior_storms from given_rows, range(1, 5) as places (place);
create table storm_passes as select storm_id, crew_id, material_class, true as is_treating from crew_storms;`

// giveReferenceRows fills the tables that the steps from the routes to the comparison read with testdata/reference/data/comparison.csv.
func giveReferenceRows(ctx context.Context, t *testing.T, l *ledger.Ledger) {
	t.Helper()
	require.NoError(t, l.Exec(ctx, `create table given_rows (season varchar, storm_id varchar, zone_id varchar, route_id varchar,
		route_class varchar, lane_miles double, applied_lb double, treated_lane_mi double, regain_h double, left_out varchar,
		prior_storms varchar, run_began_at timestamptz)`))
	rows := readTinyRows(t, filepath.Join(referenceTestdata, "data", "comparison.csv"), "given_rows")
	var values []string
	for _, row := range rows.rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = "null"
			if cell != "" {
				cells[i] = ledger.QuoteText(cell)
			}
		}
		values = append(values, fmt.Sprintf("(%s, strptime(%s, '%%Y%%m%%d'))", strings.Join(cells, ", "), ledger.QuoteText(row[1][2:])))
	}
	require.NoError(t, l.Exec(ctx, "insert into given_rows values "+strings.Join(values, ", ")))
	require.NoError(t, l.Exec(ctx, routeStormDDL))
	settings := district.DefaultSettings()
	settings.TimeZone = "UTC"
	require.NoError(t, district.LoadRun(ctx, l, settings))
}

// compareReferenceRows compares them and gives the season rows.
func compareReferenceRows(t *testing.T) []rows.SeasonComparison {
	t.Helper()
	ctx := t.Context()
	l := openTestLedger(t)
	giveReferenceRows(ctx, t, l)
	for _, s := range stepsTo(t, []string{"comparison"}, tablesOf(ctx, t, l)) {
		require.NoError(t, s.run(ctx, l, district.DefaultSettings()))
	}
	rows, err := ledger.ReadTable[rows.SeasonComparison](ctx, l, "select "+strings.Join(ledger.TableColumns[rows.SeasonComparison](), ", ")+
		" from comparison where storm_id is null order by season")
	require.NoError(t, err)
	return rows
}

func assertClose(t *testing.T, name string, want, got *float64) {
	t.Helper()
	if want == nil {
		assert.Nil(t, got, name)
		return
	}
	require.NotNil(t, got, name)
	assert.InDelta(t, *want, *got, 1e-9*math.Max(math.Abs(*want), 1e-3), name)
}

// TestSeasonsAgreeWithReference. Source: testdata/reference/comparison.R, from the same rows by t.test, lm, predict and arithmetic of its
// own.
func TestSeasonsAgreeWithReference(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(referenceTestdata, "results", "comparison.json"))
	require.NoError(t, err)
	var seasons []referenceSeason
	require.NoError(t, json.Unmarshal(text, &seasons))
	rows := compareReferenceRows(t)
	require.Len(t, seasons, 3)
	require.Len(t, rows, 3)
	for i, want := range seasons {
		t.Run(want.Season, func(t *testing.T) {
			got := rows[i]
			assert.Equal(t, want.Season, got.Season)
			assert.Equal(t, want.Storms, got.Storms)
			assert.Equal(t, want.ZeroAcetate, got.ZeroAcetate)
			assert.Equal(t, want.ZeroChloride, got.ZeroChloride)
			assertClose(t, "total", want.Total.Ratio, got.TotalRatio)
			assertClose(t, "total low", want.Total.Low, got.Low90)
			assertClose(t, "total high", want.Total.High, got.High90)
			assertClose(t, "applications low", want.Applications.Low, got.ApplicationsLow90)
			assertClose(t, "applications high", want.Applications.High, got.ApplicationsHigh90)
			assertClose(t, "typical", want.Typical.Ratio, got.TypicalRatio)
			assertClose(t, "typical low", want.Typical.Low, got.TypicalLow90)
			assertClose(t, "typical high", want.Typical.High, got.TypicalHigh90)
			assertClose(t, "end", want.End.Ratio, got.EndRatio)
			assertClose(t, "end low", want.End.Low, got.EndLow90)
			assertClose(t, "end high", want.End.High, got.EndHigh90)
			assertClose(t, "regain", want.Regain.Hours, got.RegainDiffH)
			assertClose(t, "regain low", want.Regain.Low, got.RegainLow90H)
			assertClose(t, "regain high", want.Regain.High, got.RegainHigh90H)
			assertClose(t, "adjusted", want.Adjusted.Ratio, got.AdjustedRatio)
			assertClose(t, "adjusted low", want.Adjusted.Low, got.AdjustedLow90)
			assertClose(t, "adjusted high", want.Adjusted.High, got.AdjustedHigh90)
			assert.Equal(t, *want.Total.P <= 0.05, got.Verdict == "about the same", "two one-sided tests")
			assert.Equal(t, *want.Applications.P <= 0.05, got.ApplicationsVerdict == "about the same")
		})
	}
}

// TestAdjustedRoutesAreTheConverted: in the third season the four b routes turned; c1 turned in the second and turned back: out of both.
func TestAdjustedRoutesAreTheConverted(t *testing.T) {
	rows := compareReferenceRows(t)
	require.Len(t, rows, 3)
	for i, want := range [][2]int64{{0, 0}, {1, 1}, {4, 2}} {
		assert.Equal(t, want, [2]int64{rows[i].AdjustedRoutes, rows[i].AdjustedSeasons}, rows[i].Season)
	}
	assert.NotNil(t, rows[1].AdjustedRatio)
	assert.Nil(t, rows[1].AdjustedLow90, "one route: an estimate without an interval")
}
