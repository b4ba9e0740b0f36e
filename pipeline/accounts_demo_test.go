package pipeline

import (
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/scenario"
	"lanetally/pipeline/verdicts"
)

// reconciled is a row of table reconciliation.
type reconciled struct {
	Week         time.Time `db:"week"`
	TruckID      string    `db:"truck_id"`
	MaterialID   string    `db:"material_id"`
	SpreadLb     *float64  `db:"spread_lb"`
	WeighedLb    *float64  `db:"weighed_lb"`
	RunningRatio *float64  `db:"running_ratio"`
	Finding      string    `db:"finding"`
	IsDue        bool      `db:"calibration_due"`
}

// TestAccountsFindTheDemosTruth runs a night over the demo district and looks for what was put into it: one truck set for another material,
// from its week on, one that is due for calibration, and material that left a pile without a ticket; and for nothing else.
func TestAccountsFindTheDemosTruth(t *testing.T) {
	d := runDemoNight(t)
	l, truth := d.ledger(t), d.truth
	assertWrongSetting(t, l, truth)
	assertAccountFindings(t, l, truth)
	assertDemoOutlook(t, l, truth)
	assertWrongSettingIsNotUsed(t, l, truth)
	for _, name := range []string{"reconciliation.csv", "reconciliation.parquet", "stock_outlook.csv", "stock_outlook.parquet"} {
		assert.FileExists(t, filepath.Join(d.dir, "current", "data", name))
	}
}

// assertWrongSetting: the mis-set truck is named from the first week whose four weeks all lie after it was set, at the latest, and never
// before it was set; its ratio is that of the bulk densities (44/70 = 0.63 for acetate on a rock-salt setting: common practice); no other
// truck is named.
func assertWrongSetting(t *testing.T, l *ledger.Ledger, truth scenario.Truth) {
	t.Helper()
	rows, err := ledger.ReadTable[reconciled](t.Context(), l,
		`select week, truck_id, material_id, spread_lb, weighed_lb, running_ratio, finding, calibration_due
		from reconciliation order by week, truck_id, material_id`)
	require.NoError(t, err)
	require.Greater(t, len(rows), 100)
	first, err := time.Parse(time.DateOnly, truth.MisSet.FirstWeek)
	require.NoError(t, err)
	named, whole := 0, 0
	for _, row := range rows {
		isTruck := row.TruckID == truth.MisSet.TruckID && row.MaterialID == truth.MisSet.MaterialID
		if isNamed := strings.HasPrefix(row.Finding, "set for "); isNamed {
			named++
			assert.True(t, isTruck, "%+v", row)
			assert.Equal(t, "set for "+truth.MisSet.SetFor+"?", row.Finding)
			assert.False(t, row.Week.Before(first), "%+v", row)
			require.NotNil(t, row.RunningRatio)
			assert.InDelta(t, 44.0/70.0, *row.RunningRatio, 0.06)
		}
		if isTruck && row.Week.Equal(first.AddDate(0, 0, 21)) {
			whole++
			assert.Equal(t, "set for "+truth.MisSet.SetFor+"?", row.Finding, "the first four whole weeks")
			assert.InDelta(t, truth.MisSet.Ratio, *row.RunningRatio, 0.02)
		}
	}
	assert.Positive(t, named)
	assert.Equal(t, 1, whole)
}

// assertAccountFindings: exactly one line each for the planted setting, the overdue calibration and the shrinkage, with dates and amount;
// none names a crew.
func assertAccountFindings(t *testing.T, l *ledger.Ledger, truth scenario.Truth) {
	t.Helper()
	type finding struct {
		rows.Finding
		SubjectID string     `db:"subject_id"`
		SinceAt   *time.Time `db:"since_at"`
	}
	found, err := ledger.ReadTable[finding](t.Context(), l, "select * exclude (subject_kind) from account_findings order by finding_code")
	require.NoError(t, err)
	require.Len(t, found, 3)
	for _, row := range found {
		assert.Contains(t, row.Sentence(rows.US{}), "heck")
		assert.NotContains(t, row.Sentence(rows.US{}), "–", "no place is empty")
	}
	due, shrunk, wrong := found[0], found[1], found[2]
	assert.Equal(t, []string{"calibration_due", truth.Overdue}, []string{due.Code, due.SubjectID})
	assert.Equal(t, truth.OverdueLast, due.SinceAt.UTC().Format(time.RFC3339))
	assert.Equal(t, []string{"shrinkage", truth.Shrinkage.StockpileID}, []string{shrunk.Code, shrunk.SubjectID})
	assert.Equal(t, truth.Shrinkage.MaterialID, shrunk.Name)
	// Counts are out by a thousandth of a pile of some 3 million pounds, twice.
	assert.InDelta(t, -truth.Shrinkage.AmountLb, *shrunk.Amount, 15000)
	assert.Equal(t, []string{"wrong_setting", truth.MisSet.TruckID}, []string{wrong.Code, wrong.SubjectID})
	at, err := time.Parse(time.RFC3339, truth.Shrinkage.At)
	require.NoError(t, err)
	type span struct {
		From time.Time `db:"counted_before_at"`
		To   time.Time `db:"at"`
	}
	spans, err := ledger.ReadTable[span](t.Context(), l, `select counted_before_at, "at" from stock_book where difference_lb = ?`,
		*shrunk.Amount)
	require.NoError(t, err)
	require.Len(t, spans, 1)
	assert.True(t, at.After(spans[0].From) && at.Before(spans[0].To), "%v in %+v", at, spans[0])
	type listed struct {
		Count int64 `db:"n"`
	}
	all, err := ledger.ReadTable[listed](t.Context(), l,
		"select count(*) as n from account_findings inner join findings using (finding_code, subject_id, name)")
	require.NoError(t, err)
	assert.Equal(t, int64(3), all[0].Count, "beside the other findings")
}

// assertDemoOutlook: a material that was counted has a need, a fan and a printed seed; the pile's shares add up.
func assertDemoOutlook(t *testing.T, l *ledger.Ledger, truth scenario.Truth) {
	t.Helper()
	list, err := ledger.ReadTable[rows.StockOutlook](t.Context(), l, "select * from stock_outlook order by material_id")
	require.NoError(t, err)
	require.NotEmpty(t, list)
	asOf, err := time.Parse(time.RFC3339, truth.AsOfAt)
	require.NoError(t, err)
	place, err := time.LoadLocation(truth.TimeZone)
	require.NoError(t, err)
	counted := 0
	for _, row := range list {
		assert.Equal(t, verdicts.DateOf(asOf.In(place)), row.AsOfDate)
		assert.NotEmpty(t, row.Seed)
		require.NotNil(t, row.NeedP90Lb)
		assert.LessOrEqual(t, *row.NeedP10Lb, *row.NeedP50Lb)
		assert.LessOrEqual(t, *row.NeedP50Lb, *row.NeedP90Lb)
		assert.Contains(t, row.Basis, "storms of 2 seasons", "one past season is too few to draw seasons from")
		if row.OnHandLb == nil {
			assert.Nil(t, row.OrderByDate)
			continue
		}
		counted++
		fan, err := ledger.ReadTable[rows.StockFan](t.Context(), l, `select * from stock_fan where material_id = ? order by "date"`,
			row.MaterialID)
		require.NoError(t, err)
		require.Greater(t, len(fan), 3)
		assert.Equal(t, *row.OnHandLb, *fan[0].LeftP50Lb)
		assert.InDelta(t, *row.OnHandLb-*row.NeedP90Lb, *fan[len(fan)-1].LeftP10Lb, 1e-3)
	}
	assert.Equal(t, 3, counted)
}

// assertWrongSettingIsNotUsed: acetate rows in weeks in which one of their trucks is named are out of the learning curve, and only they.
func assertWrongSettingIsNotUsed(t *testing.T, l *ledger.Ledger, truth scenario.Truth) {
	t.Helper()
	type use struct {
		Rows    int64 `db:"rows"`
		ByTruck int64 `db:"by_truck"`
	}
	list, err := ledger.ReadTable[use](t.Context(), l, `
		select count(*) as "rows", count(*) filter (where exists (select 1 from storm_passes where storm_passes.storm_id =
			crew_storms.storm_id
			and storm_passes.crew_id = crew_storms.crew_id and storm_passes.route_id = crew_storms.route_id and storm_passes.truck_id =
				?)) as by_truck
		from crew_storms where learning_use = 'wrong setting'`, truth.MisSet.TruckID)
	require.NoError(t, err)
	assert.Positive(t, list[0].Rows)
	assert.Equal(t, list[0].Rows, list[0].ByTruck)
	bases, err := ledger.ReadTable[rows.LearningBasis](t.Context(), l, "select * from learning_bases order by basis")
	require.NoError(t, err)
	require.Len(t, bases, 2)
	assert.Equal(t, bases[1].Verdict, bases[0].Verdict, "rows of the mis-set truck are out of both")
	require.NotNil(t, bases[0].StartRate)
	// Pounds by weighed loads begin above those reported: in a season's first weeks what is loaded and not yet spread counts as applied.
	assert.InDelta(t, 0, math.Log(*bases[0].StartRate / *bases[1].StartRate), 0.2)
}
