package pipeline

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestRowsBeyondThoseListed: a file of rows that can never be read fills neither archive nor ledger, and every row stays in the books,
// however often it is read again; rows that a truck brings back all come back. The numbers follow from the construction.
func TestRowsBeyondThoseListed(t *testing.T) {
	d := newDistrict(t)
	require.NoError(t, d.ledger.Exec(t.Context(), "update run set quarantine_listed = 3"))
	lent := ""
	for i := range 1500 {
		lent += pass("q"+strconv.Itoa(i), "T9", "10", "5")
	}
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100")+strings.Repeat("x\n", 200_000)+strings.Repeat("y,\x00\n", 1010))
	d.deliver("passes/b.csv", passesHeader+lent)
	d.deliver("passes/c.csv", "a,b\n"+strings.Repeat("1111,2222\n", 5000))
	d.deliver("breadcrumbs/d.csv", "truck_id,at,lat,lon\n"+strings.Repeat("T1,never,1,2\n", 4000))
	d.deliver("weather/e.metar", strings.Repeat("METAR KXYZ ?\n", 3000))
	books := []string{
		"breadcrumbs|d.csv|4000|0|4000", "passes|a.csv|201011|1|201010", "passes|b.csv|1500|0|1500", "passes|c.csv|5000|0|5000",
		"weather|e.metar|3000|0|3000",
	}
	listed := []string{"a.csv|fewer cells than the header|3|199997", "a.csv|NUL byte in the line|3|1007", "b.csv|unknown truck|3|1497",
		"c.csv|required column missing|3|4997", "d.csv|not a time|3|3997", "e.metar|report does not parse|3|2997"}
	ask := func(when string) {
		assert.Equal(t, books, d.rows("select feed, file, rows_read, accepted, quarantined from intake order by all"), when)
		assert.Equal(t, listed, d.rows(`select file, reason, count(line),
			sum(rows) filter (where line is null) from quarantine group by file, reason order by file, lower(reason)`), when)
		assert.Equal(t, d.rows("select sum(quarantined) from intake"), d.rows("select sum(rows) from quarantine"), when)
		require.NoError(t, checkConservation(t.Context(), d.ledger), when)
	}
	d.night()
	ask("the first night")
	assert.Equal(t, []string{"2001"},
		d.rows("select count(*) from raw_passes where fault_code in ('fewer_cells', 'nul') or pass_id = 'p1'"))
	for _, file := range must(filepath.Glob(filepath.Join(d.dir, "archive", "passes", "*.parquet"))) {
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.Less(t, info.Size(), int64(100_000), "the archive")
	}
	d.startOver(false)
	d.night()
	ask("a new ledger, with the inbox")
	d.startOver(false)
	require.NoError(t, os.RemoveAll(filepath.Join(d.dir, "inbox")))
	d.night()
	ask("a new ledger, from the archive")

	require.NoError(t, d.ledger.Exec(t.Context(), "insert into trucks by name select 'T9' as truck_id"))
	d.night()
	assert.Equal(t, []string{"passes|b.csv|1500|1500|0"},
		d.rows("select feed, file, rows_read, accepted, quarantined from intake where file = 'b.csv'"), "the truck is listed")
}
