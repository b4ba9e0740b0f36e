package pipeline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/release"
)

// TestVerifyNamesEveryFile: a changed, a missing and an extra file, a table whose two forms differ, a broken link and a damaged archive are
// each named; rollback goes to the release before and refuses a damaged one.
func TestVerifyAndRollBack(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	first, err := release.LiveRelease(dir)
	require.NoError(t, err)
	before := exportsOf(t, dir)
	addFile(t, dir, "passes/2028-02.csv", lateDelivery)
	mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	second, err := release.LiveRelease(dir)
	require.NoError(t, err)
	_, words, code := lanetally(t, "verify", dir)
	require.Zero(t, code, words)

	archived, err := filepath.Glob(filepath.Join(dir, "archive", "passes", "*.parquet"))
	require.NoError(t, err)
	require.Len(t, archived, 2)
	live := func(name string) string { return filepath.Join(dir, "current", name) }
	addText(t, live("public/index.html"),
		`<a href="nowhere.html">x</a><a href="https://example.org/">y</a><a href="../../../etc/passwd">z</a>`)
	addText(t, live("data/storms.csv"), "extra,row\n")
	require.NoError(t, os.Remove(live("public/methods.html")))
	require.NoError(t, os.WriteFile(live("public/planted.html"), []byte("x"), 0o644))
	require.NoError(t, os.Truncate(archived[0], 100))
	require.NoError(t, os.Remove(filepath.Join(dir, "releases", first, "public", "assets", "site.css")))
	out, words, code := lanetally(t, "verify", dir)
	assert.Equal(t, exitFound, code)
	for _, wanted := range []string{
		"current/public/index.html: changed\n", "current/data/storms.csv: changed\n", "current/public/methods.html: missing\n",
		"current/public/planted.html: extra\n",
		"current/data/storms: ", `link "nowhere.html" leads to no file`, `link "https://example.org/" leads out of the folder`,
		`link "../../../etc/passwd" leads to no file`,
		filepath.Base(archived[0]), "releases/" + first + "/public/assets/site.css: missing\n",
	} {
		assert.Contains(t, out, wanted)
	}
	assert.Contains(t, words, "rollback")

	_, words, code = lanetally(t, "rollback", dir)
	assert.Equal(t, exitFound, code, "a damaged release stays where it is")
	assert.Contains(t, words, "site.css: missing")
	live2, err := release.LiveRelease(dir)
	require.NoError(t, err)
	assert.Equal(t, second, live2)

	require.NoError(t, os.WriteFile(archived[0], nil, 0o644))
	require.NoError(t, os.Remove(archived[0])) // the next night archives it again from the inbox
	mustNight(t, dir, faultNow.AddDate(0, 0, 2))
	mustNight(t, dir, faultNow.AddDate(0, 0, 3))
	_, words, code = lanetally(t, "rollback", dir)
	require.Zero(t, code, words)
	_, _, code = lanetally(t, "rollback", dir, "no-such-release")
	assert.Equal(t, exitUsage, code)
	now, err := release.LiveRelease(dir)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(now, faultNow.AddDate(0, 0, 2).Format("20060102")), now)
	assert.NotEqual(t, before, exportsOf(t, dir))
	assertWhole(t, dir, "after going back")
}

// TestReleasesKept: the newest keep, the last of each month and the live one.
func TestReleasesKept(t *testing.T) {
	ids := []string{"20281201", "20281230", "20290101", "20290130", "20290201", "20290202", "20290203", "20290204"}
	assert.Equal(t, []string{"20290201", "20290101", "20281201"}, release.Superfluous(ids, "20290204", 3))
	assert.Equal(t, []string{"20290202", "20290101", "20281201"}, release.Superfluous(ids, "20290201", 3),
		"gone back: the live one and the two newest")
	assert.Empty(t, release.Superfluous(ids, "20290204", 14))
}

// TestPruneInbox: only old files whose every row the archive holds go, and the exports stay as they are.
func TestPruneInbox(t *testing.T) {
	dir := copyTiny(t)
	addFile(t, dir, "passes/2028-02.csv", lateDelivery)
	mustNight(t, dir, faultNow)
	before := exportsOf(t, dir)
	addFile(t, dir, "passes/2028-03.csv", strings.ReplaceAll(lateDelivery, "p9", "p8"))
	old := time.Date(2001, 1, 20, 0, 0, 0, 0, time.UTC)
	for _, name := range []string{"passes/2028-01.csv", "passes/2028-03.csv", "weather/2028-01.csv"} {
		require.NoError(t, os.Chtimes(filepath.Join(dir, "inbox", name), old, old))
	}
	archived, err := filepath.Glob(filepath.Join(dir, "archive", "weather", "*.parquet"))
	require.NoError(t, err)
	require.Len(t, archived, 1)
	whole, err := os.ReadFile(archived[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(archived[0], whole[:len(whole)-50], 0o644))

	_, words, code := lanetally(t, "prune", dir, "--before", "2001-02-01")
	require.Zero(t, code, words)
	assert.Contains(t, words, "deleted 1 file")
	assert.Contains(t, words, "kept inbox/weather/2028-01.csv")
	assert.Contains(t, words, "kept inbox/passes/2028-03.csv: not loaded yet")
	assert.NoFileExists(t, filepath.Join(dir, "inbox/passes/2028-01.csv"))
	assert.FileExists(t, filepath.Join(dir, "inbox/passes/2028-02.csv"))
	require.NoError(t, os.WriteFile(archived[0], whole, 0o644))
	require.NoError(t, os.Remove(filepath.Join(dir, "inbox/passes/2028-03.csv")))
	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	report := mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.Equal(t, before, exportsOf(t, dir))
	require.Len(t, report.Load.Vanished, 1)
	assert.Equal(t, "inbox/passes/2028-01.csv", report.Load.Vanished[0].File)
	_, _, code = lanetally(t, "prune", dir, "--before", "February")
	assert.Equal(t, exitUsage, code)
}
