package pipeline

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// severityRow is a row of severity_index.
type severityRow struct {
	ST            string  `db:"st"`
	Ti            string  `db:"ti"`
	Wi            string  `db:"wi"`
	Bi            string  `db:"bi"`
	Tp            string  `db:"tp"`
	Wp            string  `db:"wp"`
	SumMicro      int64   `db:"sum_micro"`
	SeverityStorm float64 `db:"severity_storm"`
	Severity      float64 `db:"severity"`
}

// severityRows reads the severity of every combination of classes.
func severityRows(t *testing.T) []severityRow {
	t.Helper()
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tallyAll(t.Context(), l))
	rows, err := ledger.ReadTable[severityRow](t.Context(), l, "select * from severity_index")
	require.NoError(t, err)
	require.Len(t, rows, 288, "4 x 3 x 2 x 2 x 3 x 2 classes")
	return rows
}

// TestSeverityRange: the index of Nixon and Qiu 2005 (coefficients from memory) runs from 0 to 1 exactly over its 288 combinations,
// once each; the often printed a = 0.005 would make one of them negative under the root, so it is a misprint.
func TestSeverityRange(t *testing.T) {
	least, most := math.Inf(1), math.Inf(-1)
	zeros, ones, negative, misprinted := 0, 0, 0, 0
	for _, row := range severityRows(t) {
		least, most = min(least, row.Severity), max(most, row.Severity)
		if row.Severity == 0 {
			zeros++
		}
		if row.Severity == 1 {
			ones++
		}
		if row.SumMicro < 0 {
			negative++
		}
		if row.SumMicro+500-5000 < 0 {
			misprinted++
		}
	}
	assert.Zero(t, least)
	assert.Equal(t, 1.0, most)
	assert.Equal(t, 1, zeros)
	assert.Equal(t, 1, ones)
	assert.Zero(t, negative)
	assert.Equal(t, 1, misprinted, "with a = 0.005")
}

// TestSeverityFixtures: values computed apart from the same coefficients (from memory), to six digits.
func TestSeverityFixtures(t *testing.T) {
	want := map[string]float64{
		"heavy snow, cold, strong, rain, cooling, strong": 1,
		"heavy snow, cold, strong, snow, cooling, strong": 0.970134,
		"freezing rain, mid, light, rain, cooling, light": 0.562378,
		"medium snow, mid, light, snow, same, light":      0.349421,
		"light snow, mid, light, snow, same, light":       0.286501,
	}
	found := 0
	for _, row := range severityRows(t) {
		key := fmt.Sprintf("%s, %s, %s, %s, %s, %s", row.ST, row.Ti, row.Wi, row.Bi, row.Tp, row.Wp)
		if value, ok := want[key]; ok {
			found++
			assert.InDelta(t, value, row.Severity, 5e-7, key)
		}
	}
	assert.Equal(t, len(want), found)
}

// TestSeverityOrder: a worse class of any one factor makes no storm milder, and severity_storm is severity with nothing after the storm.
func TestSeverityOrder(t *testing.T) {
	worse := [][]string{
		{"light snow", "medium snow", "freezing rain", "heavy snow"}, {"warm", "mid", "cold"}, {"light", "strong"},
		{"snow", "rain"}, {"warming", "same", "cooling"}, {"light", "strong"},
	}
	bySix := map[[6]string]severityRow{}
	for _, row := range severityRows(t) {
		bySix[[6]string{row.ST, row.Ti, row.Wi, row.Bi, row.Tp, row.Wp}] = row
	}
	compared := 0
	for key, row := range bySix {
		for factor, classes := range worse {
			for i := range len(classes) - 1 {
				if classes[i] != key[factor] {
					continue
				}
				harder := key
				harder[factor] = classes[i+1]
				compared++
				assert.Greater(t, bySix[harder].SumMicro, row.SumMicro, "%v against %v", harder, key)
				assert.GreaterOrEqual(t, bySix[harder].SeverityStorm, row.SeverityStorm, "%v against %v", harder, key)
			}
		}
		alone := key
		alone[4], alone[5] = "same", "light"
		assert.Equal(t, bySix[alone].Severity, row.SeverityStorm, "%v", key)
	}
	assert.Equal(t, 288*3/4+288*2/3+288/2+288/2+288*2/3+288/2, compared)
}

// TestSeverityClassesNameTheirSources: every coefficient that comes from a paper says that it was not seen there.
func TestSeverityClassesNameTheirSources(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	type classRow struct {
		Factor string `db:"factor"`
		Class  string `db:"class"`
		Source string `db:"source"`
		Note   string `db:"note"`
	}
	rows, err := ledger.ReadTable[classRow](t.Context(), l, "select factor, class, source, note from severity_classes")
	require.NoError(t, err)
	require.NotEmpty(t, rows)
	seen := map[string]bool{}
	for _, row := range rows {
		key := row.Factor + " " + row.Class
		assert.False(t, seen[key], "%s twice", key)
		seen[key] = true
		assert.NotEmpty(t, row.Source, key)
		if row.Factor != "setting" || row.Class == "a" || row.Class == "b" {
			assert.Equal(t, "from memory", row.Note, key)
		}
	}
}

// dayPoints are the points of a day's maximum and minimum in whole degrees Fahrenheit, at every bound (from memory: Mayes Boustead
// and others 2015; temperature part only).
var dayPoints = []struct{ airF, ofMax, ofMin int64 }{
	{33, 0, 0}, {32, 1, 1}, {25, 1, 1}, {24, 2, 2}, {20, 2, 2}, {19, 3, 3}, {15, 3, 3}, {14, 4, 4}, {10, 4, 4}, {9, 5, 5}, {5, 5, 5},
	{4, 6, 6}, {0, 6, 6}, {-1, 7, 7}, {-5, 7, 7}, {-6, 8, 8}, {-10, 8, 8}, {-11, 9, 9}, {-15, 9, 9}, {-16, 10, 10}, {-20, 10, 10},
	{-21, 15, 11}, {-25, 15, 11}, {-26, 15, 15}, {-35, 15, 15}, {-36, 15, 20}, {-60, 15, 20},
}

// TestSeasonDayPoints gives a day at one temperature for every bound, and reads the sum of both points back.
func TestSeasonDayPoints(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "UTC")
	require.NoError(t, l.Exec(t.Context(), "insert into stations (station_id, zone_id) values ('s1', 'z1')"))
	for i, day := range dayPoints {
		require.NoError(t, l.Exec(t.Context(), `insert into observations (station_id, observed_at, air_f)
			select 's1', timestamptz '2028-01-01 00:00:00Z' + to_days(?) + to_hours(hour), ? from range(24) as hours (hour)`, int32(i),
			day.airF))
	}
	require.NoError(t, tallyAll(t.Context(), l))
	type pointsRow struct {
		Points int64 `db:"points"`
	}
	rows, err := ledger.ReadTable[pointsRow](t.Context(), l, "select points from air_days order by local_date")
	require.NoError(t, err)
	require.Len(t, rows, len(dayPoints))
	for i, day := range dayPoints {
		assert.Equal(t, day.ofMax+day.ofMin, rows[i].Points, "%d F", day.airF)
	}
	for i := range len(dayPoints) - 1 {
		assert.GreaterOrEqual(t, rows[i+1].Points, rows[i].Points, "colder than %d F", dayPoints[i].airF)
	}
}

// TestStormCountsAgreeWithRuns: on many rows the count at a gap is the number of kept runs that the same rows give with that gap as the
// setting, and a longer gap never gives more runs than a shorter one splits into.
func TestStormCountsAgreeWithRuns(t *testing.T) {
	l := openTestLedger(t)
	type counted struct {
		Season string `db:"season"`
		Storms int64  `db:"storms"`
	}
	for _, gapH := range []int{3, 6, 12} {
		createLoaded(t.Context(), t, l, "America/Denver")
		require.NoError(t, l.Exec(t.Context(), fmt.Sprintf("update run set storm_gap_h = %d", gapH)))
		require.NoError(t, l.Exec(t.Context(), manyStormRows))
		require.NoError(t, tallyAll(t.Context(), l))
		want, err := ledger.ReadTable[counted](t.Context(), l,
			"select season, count(distinct storm_id) as storms from storms group by season order by season")
		require.NoError(t, err)
		got, err := ledger.ReadTable[counted](t.Context(), l,
			fmt.Sprintf("select season, storms from storm_counts_by_gap where gap_h = %d", gapH))
		require.NoError(t, err)
		require.NotEmpty(t, want)
		assert.Equal(t, want, got, "gap %d h", gapH)
	}
}

// manyStormRows is weather of three stations in two districts with falling and blowing snow, from arithmetic on the row's number.
const manyStormRows = `
	insert into zones (zone_id, name, district_id) values ('z1', 'One', 'd'), ('z2', 'Two', 'd'), ('z3', 'Three', 'e');
	insert into stations (station_id, zone_id) values ('s0', 'z1'), ('s1', 'z2'), ('s2', 'z3');
	insert into observations (station_id, observed_at, air_f, precip_in, present_wx)
	select 's' || n % 3, timestamptz '2027-11-01 00:00:00Z' + to_minutes(cast(37 * n as bigint)), 25,
		case when n * 7919 % 101 < 7 then 0.01 end,
		case when n * 104729 % 97 < 9 then 'SN' when n * 31 % 53 < 6 then 'BLSN' end
	from range(15000) as numbers (n);
	insert into as_of values ('2030-06-30 00:00:00Z');`
