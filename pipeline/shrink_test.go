package pipeline

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
	feeds, shares := []string{"breadcrumbs", "conditions"}, []float64{0} // the others are cases of the gate
	if isTorture {
		feeds = append(feeds, "passes", "stock", "tickets", "weather")
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
