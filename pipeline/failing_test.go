package pipeline

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
)

// diskErrors are what a disk answers when it is full, broken or shut.
var diskErrors = []syscall.Errno{syscall.ENOSPC, syscall.EIO, syscall.EACCES}

// failAt makes the N-th operation fail.
func failAt(n int, with error) disk.Layer {
	count := 0
	return disk.Layer{Before: func(string, string) error {
		if count++; count == n {
			return with
		}
		return nil
	}}
}

// smallRelease builds, verifies and publishes a release of three files as a night does.
func smallRelease(l disk.Layer, dir, id, content string) error {
	building, err := release.BeginRelease(l, dir, id)
	if err != nil {
		return err
	}
	for _, name := range []string{"public/index.html", "public/storms/a.html", "data/notes.txt"} {
		if err := l.WriteNew(filepath.Join(building, name), []byte(content)); err != nil {
			return err
		}
	}
	if err := release.WriteReleaseManifest(l, building, release.ReleaseManifest{Release: id, BeganAt: faultNow}); err != nil {
		return err
	}
	if err := release.PublishRelease(l, dir, building, id); err != nil {
		return err
	}
	return release.PruneReleases(l, dir, 2)
}

// TestEachFailingOperationOfPublishing: each N-th operation fails in each way until a release goes through; the live release is
// whole at any time, and the next release needs no tidying up.
func TestEachFailingOperationOfPublishing(t *testing.T) {
	r := beginResult(t, "N-th operation of publishing fails, with links and without", "exit 74; live release whole; next release clean")
	for _, links := range []bool{true, false} {
		for _, with := range diskErrors {
			for n := 1; ; n++ {
				require.Less(t, n, 200)
				when := fmt.Sprintf("links %v, %v at operation %d", links, with, n)
				dir := quickDir(t)
				require.NoError(t, smallRelease(withoutLinks(disk.Layer{}, links), dir, "20290101", "first"))
				require.NoError(t, smallRelease(withoutLinks(disk.Layer{}, links), dir, "20290201", "second"))
				err := smallRelease(withoutLinks(failAt(n, with), links), dir, "20290301", "third")
				live, liveErr := release.LiveRelease(dir)
				require.NoError(t, liveErr, when)
				assert.Contains(t, []string{"20290201", "20290301"}, live, when)
				assertWhole(t, dir, when)
				if err == nil {
					assert.Equal(t, "20290301", live, when)
					assert.Greater(t, n, 20, "three files, three folders, a manifest and a swap are more than twenty operations")
					break
				}
				assert.ErrorIs(t, err, with, when)
				assert.Equal(t, exitFiles, ExitCode(err), when)
				require.NoError(t, smallRelease(withoutLinks(disk.Layer{}, links), dir, "20290401", "fourth"), when)
				assertWhole(t, dir, when)
				assert.Empty(t, strays(t, dir), when)
				r.count++
			}
		}
	}
}

// withoutLinks is a layer on a disk that knows no links, where links is false.
func withoutLinks(l disk.Layer, links bool) disk.Layer {
	if links {
		return l
	}
	inner := l.Before
	l.Before = func(operation, path string) error {
		if operation == "link" {
			return syscall.EPERM
		}
		if inner == nil {
			return nil
		}
		return inner(operation, path)
	}
	return l
}

// TestTwoStepSwapIsMended: killed between the two renames of a disk without links, the next night finds the newest whole release.
func TestTwoStepSwapIsMended(t *testing.T) {
	dir := quickDir(t)
	layer := withoutLinks(disk.Layer{}, false)
	require.NoError(t, smallRelease(layer, dir, "20290101", "first"))
	require.NoError(t, smallRelease(layer, dir, "20290201", "second"))
	info, err := os.Lstat(filepath.Join(dir, "current"))
	require.NoError(t, err)
	require.True(t, info.IsDir())
	// The state between the renames: no current, both releases in releases/, the newest damaged in one of the cases.
	require.NoError(t, os.Rename(filepath.Join(dir, "current"), filepath.Join(dir, "releases", "20290201")))
	mended, err := release.RepairLive(layer, dir)
	require.NoError(t, err)
	assert.Equal(t, "20290201", mended)
	assertWhole(t, dir, "mended")
	require.NoError(t, os.Rename(filepath.Join(dir, "current"), filepath.Join(dir, "releases", "20290201")))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "releases", "20290201", "public", "index.html"), []byte("cut"), 0o644))
	mended, err = release.RepairLive(layer, dir)
	require.NoError(t, err)
	assert.Equal(t, "20290101", mended, "a damaged release is passed over")
	mended, err = release.RepairLive(layer, dir)
	require.NoError(t, err)
	assert.Empty(t, mended)
}

// TestNightWithAFailingOperation: the same over whole nights, at operations spread over all of them.
func TestNightWithAFailingOperation(t *testing.T) {
	r := beginResult(t, "N-th operation of a night fails", "exit 74; live release whole; no stray file; the next run's exports identical")
	c := newFaultCase(t)
	total := countOperations(t, c)
	step := total/4 - 1
	if isTorture {
		step = max(1, total/100)
	}
	for n := 1; n <= total; n += step {
		with := diskErrors[n%len(diskErrors)]
		dir := copyDistrict(t, c.dir)
		when := fmt.Sprintf("%v at operation %d of %d", with, n, total)
		_, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, 1), Words: io.Discard, files: failAt(n, with)})
		require.ErrorIs(t, err, with, when)
		assert.Equal(t, exitFiles, ExitCode(err), when)
		assert.Empty(t, strays(t, dir), when)
		c.afterKill(t, dir, when)
		r.count++
	}
}

// TestFullDiskStopsANightBeforeItBegins: three times the last release and the ledger must be free.
func TestFullDiskStopsANightBeforeItBegins(t *testing.T) {
	c := newFaultCase(t)
	release, err := disk.BytesBelow(filepath.Join(c.dir, "current") + "/")
	require.NoError(t, err)
	ledger, err := disk.BytesBelow(filepath.Join(c.dir, "ledger.duckdb"))
	require.NoError(t, err)
	require.Positive(t, release)
	require.Positive(t, ledger)
	layer := disk.Layer{Space: func(string) (int64, error) { return 3*(release+ledger) - 1, nil }}
	_, err = Nightly(t.Context(), NightlyOptions{Dir: c.dir, Now: faultNow.AddDate(0, 0, 1), Words: io.Discard, files: layer})
	assert.Equal(t, exitFiles, ExitCode(err))
	assert.ErrorContains(t, err, "free some space")
	assert.Equal(t, c.before, exportsOf(t, c.dir))
	layer.Space = func(string) (int64, error) { return 3 * (release + ledger), nil }
	assert.NoError(t, layer.CheckSpace(c.dir))
}

// TestFileLimitOfTheDatabase: DuckDB's own writes fail by a limit on the size of a file, at rising sizes.
func TestFileLimitOfTheDatabase(t *testing.T) {
	r := beginResult(t, "RLIMIT_FSIZE of a child", "exit 74; live release whole; the next run's exports identical")
	c := newFaultCase(t)
	limits := []uint64{16 << 10, 256 << 10, 1 << 20}
	if isTorture {
		limits = nil
		for size := uint64(16 << 10); size <= 8<<20; size *= 2 {
			limits = append(limits, size, size*3/2)
		}
	}
	for _, limit := range limits {
		dir := copyDistrict(t, c.dir)
		code, words := childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1), FileLimit: limit}.run(t)
		assert.Contains(t, []int{exitDone, exitFiles}, code, "%d bytes: %s", limit, words)
		c.afterKill(t, dir, fmt.Sprintf("files of at most %d bytes", limit))
		r.count++
	}
}

// TestNightOfAnotherUser: a user who may read but not write the folder changes nothing, and is told with exit code 74.
func TestNightOfAnotherUser(t *testing.T) {
	r := beginResult(t, "a child of another user", "exit 74 and nothing changed; an unreadable delivery listed, the rest loaded")
	if os.Geteuid() != 0 {
		r.notRun(t, "only the superuser can start a child of another user")
	}
	c := newFaultCase(t)
	const nobody = 65534
	code, words := childNight{Dir: c.dir, Now: faultNow.AddDate(0, 0, 1), UID: nobody}.run(t)
	assert.Equal(t, exitFiles, code, words)
	assert.Contains(t, words, "permission denied")
	assert.Equal(t, c.before, exportsOf(t, c.dir))

	// The folder is theirs now, one delivery is not readable: it is listed, and everything else is loaded.
	require.NoError(t, filepath.WalkDir(c.dir, func(path string, _ os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Lchown(path, nobody, nobody)
	}))
	shut := filepath.Join(c.dir, "inbox", "passes", "shut.csv")
	require.NoError(t, os.WriteFile(shut, []byte(lateDelivery), 0o600))
	code, words = childNight{Dir: c.dir, Now: faultNow.AddDate(0, 0, 1), UID: nobody}.run(t)
	assert.Equal(t, exitDone, code, words)
	quarantine, err := os.ReadFile(filepath.Join(c.dir, "current", "data", "quarantine.csv"))
	require.NoError(t, err)
	assert.Contains(t, string(quarantine), "passes,shut.csv,0,,no permission to read,")
	routes, err := os.ReadFile(filepath.Join(c.dir, "current", "data", "crew_storms.csv"))
	require.NoError(t, err)
	assert.Positive(t, strings.Count(string(routes), "\n"))
	r.count = 2
}

// TestDamagedLedgerIsRebuilt: a ledger that is cut, overwritten, of another layout or gone is moved aside with a note, and the exports come
// out the same.
func TestDamagedLedgerIsRebuilt(t *testing.T) {
	r := beginResult(t, "damaged, missing or older ledger", "moved aside with a note; exports identical")
	c := newFaultCase(t)
	db := func(dir string) string { return filepath.Join(dir, "ledger.duckdb") }
	whole, err := os.ReadFile(db(c.dir))
	require.NoError(t, err)
	scratched := append([]byte{}, whole...)
	for at := 3 * 4096; at < len(scratched); at += 8192 {
		scratched[at] ^= 0x55
	}
	for name, damage := range map[string]func(dir string) error{
		"cut":                  func(dir string) error { return os.WriteFile(db(dir), whole[:len(whole)/2], 0o644) },
		"text":                 func(dir string) error { return os.WriteFile(db(dir), []byte("not a database at all\n"), 0o644) },
		"scratched":            func(dir string) error { return os.WriteFile(db(dir), scratched, 0o644) },
		"gone":                 func(dir string) error { return os.Remove(db(dir)) },
		"gone but for its log": func(dir string) error { return os.Rename(db(dir), db(dir)+".wal") },
		"other layout": func(dir string) error {
			l, err := ledger.Open(t.Context(), db(dir))
			if err != nil {
				return err
			}
			if err := l.Exec(t.Context(), "update delivery_layout set hash = 'older'"); err != nil {
				return err
			}
			return l.Close()
		},
	} {
		dir := copyDistrict(t, c.dir)
		require.NoError(t, damage(dir), name)
		report := mustNight(t, dir, faultNow.AddDate(0, 0, 1))
		assert.Equal(t, c.after, exportsOf(t, dir), name)
		assert.Contains(t, strings.Join(report.Warnings, "\n"), "rebuilt from inbox/ and archive/", name)
		r.count++
	}
}
