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
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
)

// referenceTestdata holds inputs and R's results; its README says with which versions.
const referenceTestdata = "../testdata/reference"

// referenceInterval is a ratio with its 90 % interval, or a number of hours.
type referenceInterval struct{ Ratio, Hours, Low, High *float64 }

// referenceSeason is a season row as R computes it.
type referenceSeason struct {
	Season                                    string
	Storms                                    int64
	Total, Applications, Typical, End, Regain referenceInterval
	ZeroAcetate                               int64 `json:"zero_acetate"`
	ZeroChloride                              int64 `json:"zero_chloride"`
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
alter table crew_storms add column learning_use varchar;
create table storm_passes as select storm_id, crew_id, material_class, true as is_treating from crew_storms;
create table learning_rows (season varchar, storm_id varchar, crew_id varchar, route_id varchar, storm_date date, prior_storms bigint,
    x double, rate_lb_per_lane_mi double, air_f_mean double, intensity double, freezing double);
create table learning_rows_corrected as from learning_rows;
create table beside_salt_rows (question varchar, season varchar, storm_id varchar, zone_id varchar, route_id varchar, crew_id varchar,
    is_acetate boolean, storm_date date, x double, w double, y double, air_f_mean double, intensity double, freezing double,
    route_ulane_mi bigint, is_bare_in_cap boolean);
create table season_pounds (season varchar, material_class varchar, applied_ulb bigint, set_rate_share double, weighed_share double,
    pounds_basis varchar);
create table orders (from_date date, text varchar, material_class varchar, route_id varchar);
create table as_of as select timestamptz '2039-07-02 00:00:00+00' as as_of_at;`

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

// describedSeason holds the columns of the season rows that the reference has: what the routes got, without a verdict.
type describedSeason struct {
	Season             string   `db:"season"`
	Storms             int64    `db:"storms"`
	ZeroAcetate        int64    `db:"zero_acetate"`
	ZeroChloride       int64    `db:"zero_chloride"`
	TotalRatio         *float64 `db:"total_ratio"`
	Low90              *float64 `db:"low90"`
	High90             *float64 `db:"high90"`
	ApplicationsLow90  *float64 `db:"applications_low90"`
	ApplicationsHigh90 *float64 `db:"applications_high90"`
	TypicalRatio       *float64 `db:"typical_ratio"`
	TypicalLow90       *float64 `db:"typical_low90"`
	TypicalHigh90      *float64 `db:"typical_high90"`
	EndRatio           *float64 `db:"end_ratio"`
	EndLow90           *float64 `db:"end_low90"`
	EndHigh90          *float64 `db:"end_high90"`
	RegainDiffH        *float64 `db:"regain_diff_h"`
	RegainLow90H       *float64 `db:"regain_low90_h"`
	RegainHigh90H      *float64 `db:"regain_high90_h"`
}

// compareReferenceRows compares them and gives the season rows.
func compareReferenceRows(t *testing.T) []describedSeason {
	t.Helper()
	ctx := t.Context()
	l := openTestLedger(t)
	giveReferenceRows(ctx, t, l)
	settings := district.DefaultSettings()
	settings.Location = time.UTC
	for _, s := range stepsTo(t, []string{"comparison"}, tablesOf(ctx, t, l)) {
		require.NoError(t, s.run(ctx, l, settings))
	}
	rows, err := ledger.ReadTable[describedSeason](ctx, l, "select "+strings.Join(ledger.TableColumns[describedSeason](), ", ")+
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
		})
	}
}
