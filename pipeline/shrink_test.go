package pipeline

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// addLoadsAndStock gives the tiny district twenty weighed loads and a count.
func addLoadsAndStock(t *testing.T, dir string) {
	t.Helper()
	loads := "ticket_id,loaded_at,truck_id,stockpile_id,material_id,loaded_lb\n"
	for day := 1; day <= 20; day++ {
		loads += fmt.Sprintf("k%d,2028-01-%02d 08:00,t1,p1,salt,8000\n", day, day)
	}
	addFile(t, dir, "tickets/2028-01.csv", loads)
	addFile(t, dir, "stock/2028-01.csv", "stockpile_id,material_id,at,kind,amount_lb\np1,salt,2028-01-01 06:00,count,900000\n")
}

// TestShrinkingFeedsAreHeld: a file of any feed that comes back shorter by more than gate_rows_pct holds the night; status says it, and
// with the file whole again the next night publishes.
func TestShrinkingFeedsAreHeld(t *testing.T) {
	r := beginResult(t, "a file of each feed comes back shorter", "exit 65, told by status; whole again, published")
	base := copyTiny(t)
	addPositions(t, base)
	addLoadsAndStock(t, base)
	mustNight(t, base, faultNow)
	feeds, shares := []string{"breadcrumbs"}, []float64{0} // the others are cases of the gate
	if isTorture {
		feeds = append(feeds, "conditions", "passes", "stock", "tickets", "weather")
		shares = []float64{0, 0.01, 0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 0.94, 0.95, 0.99}
	}
	for _, feed := range feeds {
		files, err := filepath.Glob(filepath.Join(base, "inbox", feed, "*.csv"))
		require.NoError(t, err)
		require.NotEmpty(t, files, feed)
		text, err := os.ReadFile(files[0])
		require.NoError(t, err)
		rows := strings.Count(string(text), "\n") - 1
		for _, share := range shares {
			kept := int(share * float64(rows))
			when := fmt.Sprintf("%s: %d of %d rows", feed, kept, rows)
			dir := copyDistrict(t, base)
			path := filepath.Join(dir, "inbox", feed, filepath.Base(files[0]))
			passLines(t, path, kept)
			_, err := tryNight(t, dir, 1, "")
			if 100*(rows-kept) <= 5*rows {
				assert.NotContains(t, fmt.Sprint(err), "rows are gone", when)
				continue
			}
			assert.Equal(t, exitReference, ExitCode(err), when)
			out, _, code := lanetally(t, "status", dir, "--now", faultNow.AddDate(0, 0, 1).Format("2006-01-02T15:04:05Z"))
			assert.Equal(t, exitFound, code, when)
			assert.Contains(t, out, fmt.Sprintf("%d of %d rows of %s/%s are gone", rows-kept, rows, feed, filepath.Base(path)), when)
			require.NoError(t, os.WriteFile(path, text, 0o644))
			mustNight(t, dir, faultNow.AddDate(0, 0, 2))
			r.count++
		}
	}
}

// TestSilentFeedsAreTold: without the passes and loads of the demo's last weeks, while roads are still reported, no route counts with
// 0 lb in the comparison, and status, the first page and the data page tell of zones and feeds.
func TestSilentFeedsAreTold(t *testing.T) {
	dir := writeDemo(t)
	addText(t, filepath.Join(dir, "district.toml"), "\n[feeds.stock]\nstale_h = 24\n")
	for _, pattern := range []string{"passes/passes-2029-0[23]-*", "tickets/tickets-2029-0[23].csv", "tickets/tickets-harbor-2028-29.csv"} {
		files, err := filepath.Glob(filepath.Join(dir, "inbox", pattern))
		require.NoError(t, err)
		require.NotEmpty(t, files, pattern)
		for _, file := range files {
			require.NoError(t, os.Remove(file))
		}
	}
	_, words, code := lanetally(t, "nightly", dir, "--now", demoNow)
	require.Zero(t, code, words)
	out, _, code := lanetally(t, "status", dir, "--now", demoNow)
	assert.Equal(t, exitFound, code)
	assert.Regexp(t, `feed passes: ends \d{3,} h before the latest`, out)
	assert.Regexp(t, `feed stock: ends \d+ h before the latest`, out, "its own limit")
	assert.NotContains(t, out, "feed tickets:", "without a limit")
	assert.Regexp(t, `\n  weather     2029-03-0`, out)
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	// The sheets are of every zone but one, whose positions go on: what is silent is asked of the passes' own times.
	silent := textRows(t, l, `select storm_id, zone_id from storms where began_at >= '2029-02-01' and not is_open and not exists (
		select 1 from passes inner join routes using (route_id) where routes.zone_id = storms.zone_id
			and began_at between storms.began_at - interval 48 hour and storms.ended_at + interval 36 hour) order by all`)
	require.Greater(t, len(silent), 5)
	assert.Equal(t, silent, textRows(t, l, "select storm_id, zone_id from silent_storms where storm_id > 'ZD-202902' order by all"))
	assert.Equal(t, []string{"0"}, textRows(t, l, `select count(*) from comparison_routes inner join silent_storms using (storm_id, zone_id)
		where left_out is null`))
	told := textRows(t, l, `select subject_id || ' ' || findings.storm_id from findings where finding_code = 'zone_without_log'
		and storm_id > 'ZD-202902'`)
	require.NotEmpty(t, told)
	for _, zone := range told {
		assert.Contains(t, out, "zone "+zone+": no pass of any route of the zone lies within reach of this storm")
	}
	for _, page := range []string{"index.html", "data.html"} {
		text, err := os.ReadFile(filepath.Join(dir, "current", "public", page))
		require.NoError(t, err)
		assert.Regexp(t, `By feed the data reaches: .*passes to \d+ [A-Z][a-z]{2} 2029, \d\d:\d\d, behind the others; `, string(text), page)
	}
}
