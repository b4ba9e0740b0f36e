package pipeline

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// manyRows makes about two seasons of a district from arithmetic on the row's number: enough rows that DuckDB works on them with
// several threads. The placeholder is the order in which they are inserted.
const manyRows = `
	insert into observations (station_id, observed_at, air_f, surface_f, wind_mph, precip_in, present_wx)
	select 's' || (1 + n % 3), timestamptz '2027-10-01 00:00:00Z' + to_minutes(cast(20 * (n // 3) as bigint)),
		20 + (n * 7919 % 311) / 10.0, 18 + (n * 104729 % 293) / 10.0, (n * 31 % 400) / 10.0, case when n // 3 % 260 < 30 then (n * 17 %
			10) / 100.0 end,
		case when n // 3 % 260 < 30 then '-SN' when n // 3 % 260 = 31 then 'BLSN' when n // 3 % 700 < 5 then 'FZRA' end
	from range(130000) as numbers (n) order by %ORDER%;
	insert into passes (pass_key, pass_id, truck_id, crew_id, route_id, began_at, ended_at, from_mi, to_mi, material_id,
		rate_set_lb_per_lane_mi, dispensed_lb, plow_down, file, line)
	select 'id:' || n, n, 't' || (n % 9), 'c' || (1 + n % 2), 'r' || (1 + n % 3), began_at, began_at + interval 40 minute, 3,
		3 + (n * 13 % 40) / 10.0, case n % 5 when 0 then null when 1 then 'salt' when 2 then 'salt' else 'cma' end, 210.7,
		case when n % 11 > 0 then 300 + (n * 7919 % 99991) / 10.0 end, n % 4 = 0, 'f', n
	from (select n, timestamptz '2027-10-01 00:00:00Z' + to_seconds(cast(1733 * n as bigint)) as began_at
		from range(24000) as numbers (n)) order by %ORDER%;
	insert into conditions (route_id, observed_at, cover)
	select 'r' || (1 + n % 3), timestamptz '2027-10-01 00:00:00Z' + to_minutes(cast(40 * n as bigint)),
		case when n * 7919 % 7 < 3 then 'bare-wet' else 'slush' end
	from range(20000) as numbers (n) order by %ORDER%;`

// TestManyRowsInAnyOrder: over two seasons the tables do not depend on the order of the rows, nor on how threads share them.
func TestManyRowsInAnyOrder(t *testing.T) {
	l := openTestLedger(t)
	dumpIn := func(order string) map[string]string {
		createLoaded(t.Context(), t, l, "America/Denver")
		require.NoError(t, l.Exec(t.Context(), drawnReference))
		require.NoError(t, l.Exec(t.Context(), strings.ReplaceAll(manyRows, "%ORDER%", order)))
		require.NoError(t, tallyAll(t.Context(), l))
		return dumpTally(t, l)
	}
	want, got := dumpIn("n"), dumpIn("hash(n)")
	require.Greater(t, len(want["storm_routes"]), 10000)
	require.Len(t, got, len(want))
	for table, text := range want {
		assert.Equal(t, text, got[table], "%s depends on the order of the rows", table)
	}
	assertGrains(t.Context(), t, l, stepsOf(stretchStorms, stretchMoney))
}
