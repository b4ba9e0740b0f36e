package pipeline

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// Under another pass_gap_min the same night cuts all positions anew: as if it had found them all at once. By hand: T1's wait of 30 min ends
// a trace under 10 min and not under 40.
func TestAnotherPassGapCutsAllPositionsAnew(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(twoDays(), ""))
	d.night()
	require.Equal(t, []string{"3"}, d.rows("select count(*) from crumb_traces"))
	d.settings.PassGapMin = 40
	d.night()
	assert.Equal(t, []string{"2"}, d.rows("select count(*) from crumb_traces"))
	again := d.crumbEverything()
	d.startOver(false)
	d.night()
	assert.Equal(t, d.crumbEverything(), again)
	assert.Len(t, d.rows("select * from passes"), 4)
}

// A file is replaced by one without T2's rows, and the night is stopped when the store has the change and the ledger has not: the next
// night's passes are those of a district that never saw the former file.
func TestStoppedBetweenStoreAndLedger(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	lines := twoDays()
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(lines, ""))
	d.night()
	require.NotEmpty(t, d.rows("select * from passes where truck_id = 'T2'"))
	lines = slices.DeleteFunc(lines, func(line string) bool { return strings.HasPrefix(line, "T2,") })
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(lines, ""))
	ctx, stop := context.WithCancel(t.Context())
	isStopped := false
	layer := disk.Layer{Before: func(operation, path string) error {
		if operation == "remove" && strings.HasSuffix(path, "breadcrumbs/change.json") {
			isStopped = true
			stop()
		}
		return nil
	}}
	_, err := intake.LoadDeliveries(ctx, d.ledger, d.dir, d.settings, layer, nil)
	require.Error(t, err)
	require.True(t, isStopped)
	d.night()
	got := d.crumbEverything()
	d.startOver(true)
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(lines, ""))
	d.night()
	assert.Equal(t, d.crumbEverything(), got)
}

// A file that rested is not read again while the file system says that it is the same; a change is seen though size and time of
// modification are put back.
func TestRestedFilesAreNotReadAgain(t *testing.T) {
	dir := copyTiny(t)
	addPositions(t, dir)
	path := filepath.Join(dir, "inbox/breadcrumbs/2028-01-12.csv")
	time.Sleep(intake.StampRest + 100*time.Millisecond)
	mustNight(t, dir, faultNow)
	stamps := func() []string {
		l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
		require.NoError(t, err)
		rows := textRows(t, l, "select feed || '/' || file from file_stamps order by feed, file")
		require.NoError(t, l.Close())
		return rows
	}
	rested, err := fs.Glob(os.DirFS(filepath.Join(dir, "inbox")), "*/*")
	require.NoError(t, err)
	require.Contains(t, rested, "breadcrumbs/2028-01-12.csv")
	require.Equal(t, rested, stamps())
	former, err := os.Stat(path)
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	changed := strings.Replace(string(text), ",50,salt", ",51,salt", 1)
	require.NotEqual(t, string(text), changed)
	require.NoError(t, os.WriteFile(path, []byte(changed), 0o644))
	require.NoError(t, os.Chtimes(path, former.ModTime(), former.ModTime()))
	report := mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.Equal(t, 1, report.Load.Contents)
	assert.NotContains(t, stamps(), "breadcrumbs/2028-01-12.csv", "it was changed too shortly before the night")
	assert.Len(t, stamps(), len(rested)-1)
}
