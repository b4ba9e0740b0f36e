package pipeline

import (
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
)

// TestPruneLeavesWhatItDidNotProve: a file that is replaced or rewritten while it is proved, or between proof and deletion, stays; a name
// that a killed run hid comes back.
func TestPruneLeavesWhatItDidNotProve(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	old := time.Date(2001, 1, 20, 0, 0, 0, 0, time.UTC)
	before := old.AddDate(0, 0, 1)
	path := filepath.Join(dir, "inbox/passes/2028-01.csv")
	weather := filepath.Join(dir, "inbox/weather/2028-01.csv")
	for _, each := range []string{path, weather} {
		require.NoError(t, os.Chtimes(each, old, old))
	}
	isReplaced := false
	replacing := disk.Layer{Before: func(operation, at string) error {
		if operation == "rename" && strings.Contains(at, "passes") && !isReplaced {
			isReplaced = true
			require.NoError(t, os.Remove(path))
			require.NoError(t, os.WriteFile(path, []byte(lateDelivery), 0o644))
		}
		return nil
	}}
	pruned, kept, err := pruneInbox(t.Context(), dir, before, replacing)
	require.NoError(t, err)
	require.True(t, isReplaced)
	assert.Equal(t, 1, pruned, "the weather")
	assert.NoFileExists(t, weather)
	require.Len(t, kept, 1)
	assert.Contains(t, kept[0].Text, "it changed while it was read and stays")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, lateDelivery, string(text))

	// The same size and time of change, other bytes: the file system knows when it saw them.
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, root.Close()) })
	why, err := disk.Layer{}.RemoveProved(root, "inbox/passes/2028-01.csv", func() error {
		proved, err := os.Stat(path)
		require.NoError(t, err)
		time.Sleep(20 * time.Millisecond) // beyond the grain of the file system's clock
		require.NoError(t, os.WriteFile(path, []byte(strings.ReplaceAll(lateDelivery, "2600", "2700")), 0o644))
		return os.Chtimes(path, proved.ModTime(), proved.ModTime())
	})
	require.NoError(t, err)
	require.ErrorContains(t, why, "it changed while it was read")
	assert.FileExists(t, path)

	require.NoError(t, os.Rename(path, filepath.Join(dir, "inbox/passes/.2028-01.csv.going")))
	_, err = Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, 2), Words: io.Discard, Accept: "replaced"})
	require.NoError(t, err)
	assert.FileExists(t, path, "put back ahead of the night")
	require.NoError(t, os.Chtimes(path, old, old))
	for failing := 1; failing <= 2; failing++ {
		_, _, err = pruneInbox(t.Context(), dir, before, failAt(failing, os.ErrPermission))
		require.ErrorIs(t, err, os.ErrPermission)
		assert.FileExists(t, path, "put back after operation %d failed", failing)
	}
}

// TestLogsKept: the newest keep_logs nights have their log and reports.
func TestLogsKept(t *testing.T) {
	dir := copyTiny(t)
	addText(t, filepath.Join(dir, "district.toml"), "keep_logs = 2\n")
	for i := range 4 {
		mustNight(t, dir, faultNow.AddDate(0, 0, i))
	}
	var names []string
	for _, name := range filesBelow(t, dir, "log") {
		names = append(names, strings.TrimPrefix(name, "log/"))
	}
	wanted := []string{"last_run.json", promName, "lock"}
	for _, day := range []int{2, 3} {
		id := faultNow.AddDate(0, 0, day).Format("20060102T150405Z")
		wanted = append(wanted, id+".json", id+".jsonl", id+".txt")
	}
	assert.ElementsMatch(t, wanted, names)
}

// TestLinksInTheInbox: no link is followed, to a file or a folder, inside or outside of the district: it is told, and nothing of what it
// leads to is read.
func TestLinksInTheInbox(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	secret := filepath.Join(dir, "crew_addresses.toml")
	text, err := os.ReadFile(secret)
	require.NoError(t, err)
	for name, to := range map[string]string{"passes/crews.csv": "../../crew_addresses.toml", "weather/crews.txt": secret,
		"passes/twice.csv": "2028-01.csv"} {
		require.NoError(t, os.Symlink(to, filepath.Join(dir, "inbox", name)))
	}
	require.NoError(t, os.Symlink("../reference", filepath.Join(dir, "inbox/tickets")))
	require.NoError(t, os.Symlink("../../reference", filepath.Join(dir, "inbox/passes/below")))
	report := mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	told := strings.Join(report.Warnings, "\n")
	for _, name := range []string{"inbox/passes/crews.csv", "inbox/weather/crews.txt", "inbox/passes/twice.csv"} {
		assert.Contains(t, told, name+": link, not a file; put the file itself into the folder, not a link to it")
	}
	assert.Contains(t, told, "inbox/tickets: link, not a folder; put the folder itself in its place")
	assert.Contains(t, told, "inbox/passes/below: ")
	address := strings.Split(string(text), `"`)[1]
	require.Greater(t, len(address), 20)
	for _, name := range filesBelow(t, dir, "archive", "releases/"+report.Release+"/data") {
		content, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.NotContains(t, string(content), address, name)
	}
	for _, row := range readExport(t, dir, "quarantine")[1:] {
		assert.Equal(t, []string{"0", "", ""}, []string{row[2], row[3], row[6]}, "of a link its name and no line: %v", row)
	}
}

// TestModes: whatever the mask, others can write nothing; a delivery that others may not read is kept from them in the archive, in the
// exports and the baseline; ledger and positions are for their owner alone; the public site is for all.
func TestModes(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "tiny")
	require.NoError(t, os.CopyFS(dir, os.DirFS(tinyFolder)))
	addPositions(t, dir)
	require.NoError(t, os.Chmod(filepath.Join(dir, "inbox/passes/2028-01.csv"), 0o600))
	begun := time.Now().Add(-time.Hour)
	require.NoError(t, filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
		require.NoError(t, err)
		return os.Chtimes(path, begun, begun)
	}))
	now := faultNow.Format("2006-01-02T15:04:05Z")
	command := exec.Command("sh", "-c", `umask 000; exec "$0" "$@"`, buildProgram(t), "nightly", dir, "--now", now)
	output, err := command.CombinedOutput()
	require.NoError(t, err, string(output))
	modes := map[string]fs.FileMode{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := entry.Info()
		require.NoError(t, err)
		if name := strings.TrimPrefix(path, dir); entry.Type()&fs.ModeSymlink == 0 && !strings.HasPrefix(name, "/inbox") {
			modes[name] = info.Mode().Perm()
			assert.Zero(t, info.Mode()&0o022, name)
		}
		return nil
	}))
	require.Greater(t, len(modes), 100)
	id := "/releases/" + faultNow.Format("20060102T150405Z")
	name := strings.TrimPrefix(onlyFile(t, dir, "archive/passes/*.parquet"), dir)
	for wanted, names := range map[fs.FileMode][]string{
		0o600: {name, id + "/data/storms.csv", id + "/data/quarantine.parquet", id + "/baseline/passes.parquet", "/ledger.duckdb"},
		0o644: {id + "/public/index.html", strings.TrimPrefix(onlyFile(t, dir, "archive/weather/*.parquet"), dir), "/log/last_run.json"},
		0o755: {id + "/public", "/archive/passes", id},
	} {
		for _, name := range names {
			assert.Equal(t, wanted, modes[name], name)
		}
	}
	for name, mode := range modes {
		if strings.Contains(name, "/season=") && strings.HasSuffix(name, ".parquet") {
			assert.Equal(t, fs.FileMode(0o600), mode, name)
		}
	}
}
