package pipeline

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/verdicts"
)

// learningLedger is a ledger with the tally of an invented district: the tables that the learning step reads, filled so that
// its queries give back the district's rows.
func learningLedger(t *testing.T, drawn *inventor) *ledger.Ledger {
	t.Helper()
	l := openTestLedger(t)
	ctx := t.Context()
	require.NoError(t, ledger.ReplaceTable(ctx, l, "beside_salt_rows", drawn.beside.Rows))
	require.NoError(t, ledger.ReplaceTable(ctx, l, "given_rows", drawn.in.Rows))
	for _, statement := range regexp.MustCompile(`;\n`).Split(learningLedgerDDL, -1) {
		require.NoError(t, l.Exec(ctx, statement), statement)
	}
	return l
}

const learningLedgerDDL = `create table run as
    select 'UTC' as time_zone, 48.0::double as regain_cap_h, 'acetate' as compare, 'chloride' as beside;
create table as_of as select timestamptz '2030-07-02 00:00:00+00' as as_of_at;
create table orders (from_date date, text varchar, material_class varchar, route_id varchar);
create table routes as select distinct route_id, 'z' as zone_id from beside_salt_rows;
create table storms as
    select '2029-30' as season, storm_id, 'd' as district_id, 'z' as zone_id, false as is_open, any_value(air_f_mean) as air_f_mean,
        2.0::double as hours, any_value(intensity) * 2 as precip_in, any_value(freezing) as freezing_h,
        strptime(storm_id, 'd-%Y%m%d')::timestamptz as began_at, strptime(storm_id, 'd-%Y%m%d')::timestamptz + interval 2 hour as ended_at,
        strptime(storm_id, 'd-%Y%m%d')::timestamptz as run_began_at
    from beside_salt_rows group by storm_id;
create table crew_storms as
    select '2029-30' as season, beside_salt_rows.storm_id, beside_salt_rows.crew_id, beside_salt_rows.route_id,
        case when is_acetate then 'acetate' else 'chloride' end as material_class, 'solid' as form,
	given_rows.prior_storms,
        1000.0::double as applied_lb, beside_salt_rows.y as rate_lb_per_lane_mi, case when is_acetate then 'used' end as
	learning_use
    from beside_salt_rows
    left join given_rows on given_rows.storm_id = beside_salt_rows.storm_id and given_rows.route_id = beside_salt_rows.route_id;
insert into crew_storms values ('2029-30', 'd-20291105', 'c0', 'none', 'acetate', 'solid', 0, null, null, 'no pounds');
create table season_pounds (season varchar, material_class varchar, applied_ulb bigint, set_rate_share double, weighed_share double,
    pounds_basis varchar);
create table comparison_zones (season varchar, storm_id varchar, zone_id varchar, run_began_at timestamptz, is_compared boolean,
    acetate_passes bigint, acetate_prior_storms bigint);
create table comparison_classes (storm_id varchar, zone_id varchar, material_class varchar, applied_ulb bigint, treated_ulane_mi bigint,
    route_ulane_mi bigint, regain_sum bigint, bare_ulane_mi bigint);
create table storm_passes as select row_number() over (order by storm_id, crew_id, route_id) as pass_no, storm_id, crew_id, route_id,
    true as is_measured, true as is_placed, 'acetate' as material_class, 'solid' as form, 10000000 as lane_ulane_mi from given_rows;
create table pass_corrections as
    select row_number() over (order by storm_id, crew_id, route_id) as pass_no, cast(round(rate_lb_per_lane_mi * 1e7) as bigint) as
	corrected_ulb from given_rows`

// runLearning runs the steps from what is given to the table learning.
func runLearning(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	settings := district.DefaultSettings()
	settings.Location = inventedBegin.Location()
	for _, s := range stepsTo(t, []string{"learning"}, tablesOf(t.Context(), t, l)) {
		require.NoError(t, s.run(t.Context(), l, settings))
	}
}

// TestLearningWritesWhatTheFitsSay runs the step on a ledger and compares with the fits of the rows themselves.
func TestLearningWritesWhatTheFitsSay(t *testing.T) {
	drawn := standardDistrict().draw(7)
	in := drawn.in
	l := learningLedger(t, drawn)
	runLearning(t, l)
	in.Corrected = in.Rows // every load weighs what was counted
	out := verdicts.JudgeLearning(in)
	out.Seasons = verdicts.JudgeSeasons(drawn.beside)
	want := verdicts.LearningRowsOf(out)
	got, err := ledger.ReadTable[rows.Learning](t.Context(), l, "select * from learning order by crew_id")
	require.NoError(t, err)
	require.Len(t, got, len(want))
	for i := range want {
		assertSameLearning(t, want[i], got[i])
	}
	assert.Equal(t, rows.FromInstruction, got[0].Verdict, "one season is short for that")
	assert.Equal(t, rows.ControlBeyond, got[0].ControlVerdict)
	contract, err := contract.LoadContract("exports", "learning")
	require.NoError(t, err)
	var columns []string
	for _, field := range contract.Fields {
		columns = append(columns, field.Name)
	}
	assert.Equal(t, columns, ledger.TableColumns[rows.Learning]())
}

// assertSameLearning compares through the exports' columns; numbers may differ by what log2 rounds.
func assertSameLearning(t *testing.T, want, got rows.Learning) {
	t.Helper()
	assert.Equal(t, want.CrewID, got.CrewID)
	assert.Equal(t, want.Verdict, got.Verdict)
	assert.Equal(t, want.ControlVerdict, got.ControlVerdict)
	assert.Equal(t, want.StartVerdict, got.StartVerdict)
	assert.Equal(t, []int64{want.Storms, want.Rows, want.RowsLeftOut}, []int64{got.Storms, got.Rows, got.RowsLeftOut})
	for _, pair := range [][2]*float64{{want.PriorStormsLatest, got.PriorStormsLatest}, {want.StartRate, got.StartRate},
		{want.ChangePct, got.ChangePct},
		{want.ChangeHigh90Pct, got.ChangeHigh90Pct}, {want.LatestRate, got.LatestRate}, {want.StartRatioLow90, got.StartRatioLow90},
		{want.NetHigh90Pct, got.NetHigh90Pct}} {
		require.Equal(t, pair[0] == nil, pair[1] == nil)
		if pair[0] != nil {
			assert.InEpsilon(t, *pair[0], *pair[1], 1e-6)
		}
	}
}

// TestLearningTablesTellEveryRow: rows used and left out add up, residuals stand for every row used, points for every storm.
func TestLearningTablesTellEveryRow(t *testing.T) {
	drawn := standardDistrict().draw(8)
	in := drawn.in
	in.Rows[3].Rate *= 3 // one load far out of line
	for _, row := range drawn.beside.Rows {
		if row.StormID == in.Rows[3].StormID && row.RouteID == in.Rows[3].RouteID {
			*row.Y *= 3
		}
	}
	l := learningLedger(t, drawn)
	runLearning(t, l)
	residuals, err := ledger.ReadTable[rows.LearningResidual](t.Context(), l, "select * from learning_residuals")
	require.NoError(t, err)
	require.Len(t, residuals, len(in.Rows))
	marked := 0
	for _, r := range residuals {
		if r.StormID == in.Rows[3].StormID && r.CrewID == in.Rows[3].CrewID && r.RouteID == in.Rows[3].RouteID {
			require.NotNil(t, r.Deviations)
			assert.Greater(t, *r.Deviations, verdicts.OutlierDeviations)
			assert.True(t, r.IsOutlier)
			marked++
		}
	}
	assert.Equal(t, 1, marked)
	fits, err := ledger.ReadTable[rows.LearningFit](t.Context(), l, "select * from learning_fits")
	require.NoError(t, err)
	require.Len(t, fits, 6)
	assert.Equal(t, int64(len(in.Rows)), fits[0].RowsUsed)
	leftOut, err := ledger.ReadTable[rows.LearningLeftOut](t.Context(), l, "select * from learning_left_out")
	require.NoError(t, err)
	assert.Equal(t, []rows.LearningLeftOut{{Fit: "curve", Reason: "no pounds", Rows: 1}}, leftOut)
	points, err := ledger.ReadTable[rows.LearningCurve](t.Context(), l, "select * from learning_curves where crew_id = 'all'")
	require.NoError(t, err)
	require.NotEmpty(t, points)
	for _, p := range points {
		require.NotNil(t, p.RateLow90)
		assert.Less(t, *p.RateLow90, *p.Rate)
	}
}

// TestLearningOnNothing: a district without acetate is told that it is too early.
func TestLearningOnNothing(t *testing.T) {
	l := learningLedger(t, &inventor{in: &verdicts.LearningInput{}, beside: &verdicts.SeasonsInput{}})
	require.NoError(t, l.Exec(t.Context(), "delete from crew_storms"))
	runLearning(t, l)
	table, err := ledger.ReadTable[rows.Learning](t.Context(), l, "select * from learning")
	require.NoError(t, err)
	require.Len(t, table, 1)
	assert.Equal(t, "too early; so far", table[0].Verdict)
	assert.Equal(t, rows.RoadsNotKnown, table[0].ServiceVerdict)
	assert.Nil(t, table[0].StartRate)
}
