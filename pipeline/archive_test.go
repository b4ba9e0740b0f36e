package pipeline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/release"
)

// flip changes one bit of a file.
func flip(t *testing.T, path string, at int) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	text[at%len(text)] ^= 1 << (at % 8)
	require.NoError(t, os.WriteFile(path, text, 0o644))
}

// onlyFile is the one file that a pattern below dir finds.
func onlyFile(t *testing.T, dir, pattern string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, pattern))
	require.NoError(t, err)
	require.Len(t, found, 1)
	return found[0]
}

// TestArchiveFlips changes random bytes in archive and releases: verify names the file, and a night that has no ledger either publishes
// what it would have without the change or holds the release.
func TestArchiveFlips(t *testing.T) {
	r := beginResult(t, "a random byte changed in archive or releases", "the file named by verify; nothing of it live")
	flips, nights, random := 25, 4, rand.New(rand.NewPCG(20290211, 18))
	if isTorture {
		flips, nights = 200, 200
	}
	c := newFaultCase(t)
	for i, name := range []string{"passes/2028-02.csv", "passes/2028-03.csv"} {
		addFile(t, c.dir, name, strings.ReplaceAll(lateDelivery, "p9", fmt.Sprint("p", 8-i)))
		mustNight(t, c.dir, faultNow.AddDate(0, 0, i+1))
	}
	_, err := acceptGates(disk.Layer{}, c.dir, "a test", faultNow, damageCauses([]intake.FileNote{{File: "x", Text: "y"}}))
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(c.dir, "inbox/passes/2028-02.csv")))
	require.NoError(t, os.RemoveAll(filepath.Join(c.dir, "inbox/breadcrumbs")))
	_, words, code := lanetally(t, "verify", c.dir)
	require.Zero(t, code, words)
	wanted := copyDistrict(t, c.dir)
	require.NoError(t, os.Remove(filepath.Join(wanted, "ledger.duckdb")))
	mustNight(t, wanted, faultNow.AddDate(0, 0, 3))
	want := exportsOf(t, wanted)
	files := filesBelow(t, c.dir, "archive", "releases")
	require.Greater(t, len(files), 60)
	for ; r.count < flips; r.count++ {
		dir := c.dir
		if r.count < nights {
			dir = copyDistrict(t, c.dir)
		}
		name := files[random.IntN(len(files))]
		if r.count%2 == 0 { // most files are those of releases
			for !strings.HasPrefix(name, "archive") {
				name = files[random.IntN(len(files))]
			}
		}
		at := random.IntN(1 << 30)
		flip(t, filepath.Join(dir, name), at)
		assertNamed(t, dir, name, at)
		if r.count < nights {
			assertNotLive(t, dir, want, fmt.Sprintf("%s, byte %d", name, at))
		} else {
			flip(t, filepath.Join(dir, name), at)
		}
	}
}

// assertNamed asks that verify ends with 1 and names a file.
func assertNamed(t *testing.T, dir, name string, at int) {
	t.Helper()
	out, words, code := lanetally(t, "verify", dir)
	require.Equal(t, exitFound, code, "%s, byte %d: %s", name, at, words)
	live, err := release.LiveRelease(dir)
	require.NoError(t, err)
	name = strings.Replace(name, "releases/"+live, "current", 1)
	assert.Contains(t, out, name, "byte %d", at)
}

// assertNotLive runs a night without a ledger.
func assertNotLive(t *testing.T, dir, want, what string) {
	t.Helper()
	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	_, words, code := lanetally(t, "nightly", dir, "--now", faultNow.AddDate(0, 0, 3).Format("2006-01-02T15:04:05Z"))
	if code == exitDone {
		assert.Equal(t, want, exportsOf(t, dir), what)
		return
	}
	assert.Regexp(t, "the archive is damaged|read the live release|accepted.jsonl", words, what)
	out, _, code := lanetally(t, "status", dir, "--now", faultNow.AddDate(0, 0, 3).Format("2006-01-02T15:04:05Z"))
	assert.Equal(t, exitFound, code, what)
	assert.Contains(t, out, "the release before it stands", what)
}

// filesBelow lists the files below folders of dir.
func filesBelow(t *testing.T, dir string, folders ...string) (files []string) {
	t.Helper()
	for _, folder := range folders {
		require.NoError(t, filepath.WalkDir(filepath.Join(dir, folder), func(path string, entry fs.DirEntry, err error) error {
			if err == nil && entry.Type().IsRegular() {
				files = append(files, strings.TrimPrefix(path, dir+"/"))
			}
			return err
		}))
	}
	return files
}

// TestDamagedContent: a content in force whose archive file changed is taken from the inbox, and the changed file is kept and named;
// without it in the inbox the release is held until the file is there again or a person lets it pass.
func TestDamagedContent(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	before := exportsOf(t, dir)
	delivered := filepath.Join(dir, "inbox/passes/2028-01.csv")
	archived := onlyFile(t, dir, "archive/passes/*.parquet")
	whole, err := os.ReadFile(archived)
	require.NoError(t, err)
	at := bytes.Index(whole, []byte("p01,")) // a byte of a text that was delivered
	require.Positive(t, at)
	flip(t, archived, at)
	changed, err := os.ReadFile(archived)
	require.NoError(t, err)
	require.NotEqual(t, whole, changed)

	for _, isDelivered := range []bool{true, false} {
		dir := copyDistrict(t, dir)
		require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
		archived := onlyFile(t, dir, "archive/passes/*.parquet")
		if isDelivered {
			mustNight(t, dir, faultNow.AddDate(0, 0, 1))
			assert.Equal(t, before, exportsOf(t, dir))
			kept, err := os.ReadFile(archived + ".damaged")
			require.NoError(t, err)
			assert.Equal(t, changed, kept)
			out, _, code := lanetally(t, "verify", dir)
			assert.Equal(t, exitFound, code)
			assert.Equal(t, "archive/passes/"+filepath.Base(archived)+".damaged: extra\n", out)
			continue
		}
		require.NoError(t, os.Remove(filepath.Join(dir, "inbox/passes/2028-01.csv")))
		now := faultNow.AddDate(0, 0, 1).Format("2006-01-02T15:04:05Z")
		_, words, code := lanetally(t, "nightly", dir, "--now", now)
		assert.Equal(t, exitReference, code, words)
		assert.Contains(t, words, "the archive is damaged: inbox/passes/2028-01.csv: "+archived+": archive file damaged or missing")
		out, _, code := lanetally(t, "status", dir, "--now", now)
		assert.Equal(t, exitFound, code)
		assert.Contains(t, out, "the archive is damaged")
		assert.Equal(t, before, exportsOf(t, dir))
		held, err := os.ReadFile(archived)
		require.NoError(t, err)
		assert.Equal(t, changed, held, "kept as it is")
		letPass := copyDistrict(t, dir)
		_, words, code = lanetally(t, "nightly", letPass, "--now", now, "--accept", "withdrawn")
		assert.Zero(t, code, words)
		mustNight(t, letPass, faultNow.AddDate(0, 0, 2))
		require.NoError(t, os.WriteFile(archived, whole, 0o644))
		mustNight(t, dir, faultNow.AddDate(0, 0, 2))
		assert.Equal(t, before, exportsOf(t, dir))
	}
	require.FileExists(t, delivered)
}

// TestListOfTheArchiveIsChained: each line that is gone, moved, repeated or changed in one byte is found, and so is the loss of the last.
func TestListOfTheArchiveIsChained(t *testing.T) {
	d := newDistrict(t)
	for i := range 4 {
		d.deliver(fmt.Sprintf("passes/%d.csv", i), passesHeader+pass(fmt.Sprint("p", i), "T1", "10", "100"))
	}
	d.deliver("passes/a.csv.gz", "no gzip")
	d.night()
	path := filepath.Join(d.dir, "archive/manifest.jsonl")
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	breaks := func() int {
		m, err := intake.ReadManifest(d.dir, disk.Layer{})
		require.NoError(t, err)
		return len(m.Breaks)
	}
	require.Zero(t, breaks())
	lines := bytes.SplitAfter(whole, []byte("\n"))
	lines = lines[:len(lines)-1]
	require.Len(t, lines, 5)
	with := func(lines ...[]byte) int {
		require.NoError(t, os.WriteFile(path, bytes.Join(lines, nil), 0o644))
		return breaks()
	}
	for i := range lines {
		assert.NotZero(t, with(append(append([][]byte{}, lines[:i]...), lines[i+1:]...)...), "line %d is gone", i)
		assert.NotZero(t, with(append(append([][]byte{}, lines[:i+1]...), lines[i:]...)...), "line %d is there twice", i)
		if i > 0 {
			moved := append([][]byte{}, lines...)
			moved[i], moved[i-1] = moved[i-1], moved[i]
			assert.NotZero(t, with(moved...), "line %d has moved", i)
		}
	}
	for at := range whole {
		require.NoError(t, os.WriteFile(path, whole, 0o644))
		flip(t, path, at)
		require.NotZero(t, breaks(), "byte %d", at)
	}
	require.NoError(t, os.WriteFile(path, whole, 0o644))
	flip(t, filepath.Join(d.dir, "archive/manifest.end"), 7)
	assert.NotZero(t, breaks())
	d.startOver(false)
	summary := d.night()
	require.Len(t, summary.Damaged, 1)
	assert.Contains(t, summary.Damaged[0].Text, "manifest.end changed")
}

// TestListOfAnOlderProgram: lines without digests hold as they are, and get theirs with the next line that is written.
func TestListOfAnOlderProgram(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.deliver("passes/b.csv", passesHeader+pass("p2", "T1", "10", "100"))
	d.night()
	wanted := d.everything()
	path := filepath.Join(d.dir, "archive/manifest.jsonl")
	chained, err := os.ReadFile(path)
	require.NoError(t, err)
	older := regexp.MustCompile(`,"(archived|seal)":"[0-9a-f]{64}"`).ReplaceAll(chained, nil)
	require.NotContains(t, string(older), "seal")
	require.NoError(t, os.WriteFile(path, older, 0o644))
	require.NoError(t, os.Remove(filepath.Join(d.dir, "archive/manifest.end")))
	findings, err := intake.VerifyArchive(t.Context(), d.dir)
	require.NoError(t, err)
	assert.Empty(t, findings)
	require.NoError(t, os.Rename(filepath.Join(d.dir, "inbox"), filepath.Join(d.dir, "away")))
	d.startOver(false)
	d.night()
	assert.Equal(t, wanted, d.everything(), "read again from the archive")
	require.NoError(t, os.Rename(filepath.Join(d.dir, "away"), filepath.Join(d.dir, "inbox")))
	d.deliver("passes/c.csv", passesHeader+pass("p3", "T1", "10", "100"))
	d.night()
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(now, chained), "the lines as they would have been")
	assert.Equal(t, 3, bytes.Count(now, []byte(`"seal":`)))
	findings, err = intake.VerifyArchive(t.Context(), d.dir)
	require.NoError(t, err)
	assert.Empty(t, findings)
}

// TestVerifyNamesStrays: what is no file of the archive or of a release is named, links too, and what a killed run left half written is
// swept by the next.
func TestVerifyNamesStrays(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	strays := []string{"archive/notes.txt", "archive/passes/" + strings.Repeat("0", 64) + ".parquet",
		"archive/breadcrumbs/season=x/y.parquet", "archive/passes/.hidden", "current/public/extra.html", "current/data/link.csv",
		"releases/stray.txt"}
	for _, name := range strays {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755))
		if strings.HasSuffix(name, "link.csv") {
			require.NoError(t, os.Symlink("storms.csv", filepath.Join(dir, name)))
			continue
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o644))
	}
	halfWritten := filepath.Join(dir, "archive/passes", strings.Repeat("1", 64)+".parquet.tmp")
	require.NoError(t, os.WriteFile(halfWritten, []byte("x"), 0o644))
	out, _, code := lanetally(t, "verify", dir)
	assert.Equal(t, exitFound, code)
	for _, name := range append(strays, strings.TrimPrefix(halfWritten, dir+"/")) {
		assert.Contains(t, out, name+": extra")
	}
	for _, name := range strays {
		require.NoError(t, os.Remove(filepath.Join(dir, name)))
	}
	mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.NoFileExists(t, halfWritten)
	out, _, code = lanetally(t, "verify", dir)
	assert.Zero(t, code, out)
}

// TestGrowingFile: a file that gets more rows night after night takes no more room in the archive than its rows, the ledger is rebuilt from
// it, and compact drops what a change further up in the file has left behind.
func TestGrowingFile(t *testing.T) {
	r := beginResult(t, "nights with one growing file", "archive at most 1.5 times the live rows; rebuilt from it alone")
	nights := 40
	if isTorture {
		nights = 400
	}
	d := newDistrict(t)
	text, rows := passesHeader, 0
	for ; r.count < nights; r.count++ {
		for range 10 {
			rows++
			text += pass(fmt.Sprint("p", rows), "T1", "10", fmt.Sprint(100+rows*7%900))
		}
		d.deliver("passes/all.csv", text)
		d.load()
	}
	d.tell()
	archiveBytes := func() float64 {
		bytes, err := disk.BytesBelow(filepath.Join(d.dir, "archive"))
		require.NoError(t, err)
		return float64(bytes)
	}
	t.Logf("archive %.0f bytes for %d bytes of rows", archiveBytes(), len(text))
	assert.LessOrEqual(t, archiveBytes(), 1.5*float64(len(text)))
	wanted := d.everything()
	assertRebuilt := func() {
		t.Helper()
		require.NoError(t, os.Rename(filepath.Join(d.dir, "inbox"), filepath.Join(d.dir, "away")))
		d.startOver(false)
		d.night()
		assert.Equal(t, wanted, d.everything())
		require.NoError(t, os.Rename(filepath.Join(d.dir, "away"), filepath.Join(d.dir, "inbox")))
		findings, err := intake.VerifyArchive(t.Context(), d.dir)
		require.NoError(t, err)
		assert.Empty(t, findings)
	}
	assertRebuilt()
	files := len(filesBelow(t, d.dir, "archive"))
	dropped, kept, err := compactArchive(t.Context(), d.dir, disk.Layer{})
	require.NoError(t, err)
	assert.Empty(t, kept)
	assert.Zero(t, dropped, "all are parts of the content in force")
	assert.Len(t, filesBelow(t, d.dir, "archive"), files)
	assertRebuilt()

	d.deliver("passes/all.csv", strings.Replace(text, "p25,T1", "p25,T2", 1)) // far ahead of its end
	d.night()
	wanted = d.everything()
	dropped, kept, err = compactArchive(t.Context(), d.dir, disk.Layer{})
	require.NoError(t, err)
	assert.Empty(t, kept)
	assert.Equal(t, nights, dropped)
	assert.LessOrEqual(t, archiveBytes(), float64(len(text)))
	assertRebuilt()
}

// TestCompact: what is in force stays, also of a vanished and of an unreadable file; a damaged content is named and kept; where one in
// force is damaged, or the list is broken and nobody let it pass, nothing is dropped; a fault at any operation loses nothing.
func TestCompact(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.deliver("passes/b.csv", passesHeader+pass("p2", "T1", "10", "100"))
	d.deliver("passes/c.csv.gz", gzipped(t, passesHeader+pass("p3", "T1", "10", "100")))
	d.night()
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "120"))
	d.deliver("passes/c.csv.gz", "no gzip")
	require.NoError(t, os.Remove(filepath.Join(d.dir, "inbox/passes/b.csv")))
	d.night()
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "140"))
	d.night()
	wanted := d.everything()
	path := filepath.Join(d.dir, "archive/manifest.jsonl")
	list, err := os.ReadFile(path)
	require.NoError(t, err)
	contents := archivedContents(t, list)
	require.Len(t, contents, 5)
	whole := copyTree(t, d.dir)

	flip(t, contents[len(contents)-1].path(d.dir), 50)
	_, _, err = compactArchive(t.Context(), d.dir, disk.Layer{})
	require.ErrorIs(t, err, intake.ErrArchiveDamaged)
	flip(t, contents[len(contents)-1].path(d.dir), 50)
	flip(t, path, 20)
	_, _, err = compactArchive(t.Context(), d.dir, disk.Layer{})
	require.Equal(t, exitFound, ExitCode(err), "%v", err)
	flip(t, path, 20)
	assert.Equal(t, whole, copyTree(t, d.dir), "nothing was dropped")

	damaged := contents[0].path(d.dir)
	flip(t, damaged, 50)
	dropped, kept, err := compactArchive(t.Context(), d.dir, disk.Layer{})
	require.NoError(t, err)
	assert.Equal(t, 1, dropped, "the second content of a.csv")
	require.Len(t, kept, 1)
	assert.FileExists(t, damaged)
	findings, err := intake.VerifyArchive(t.Context(), d.dir)
	require.NoError(t, err)
	assert.Equal(t, []string{"archive/passes/" + filepath.Base(damaged) + ": extra"}, findings)
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(now), `"event":"compacted"`)
	assert.Contains(t, string(now), string(list[len(list)-67:len(list)-3]), "the former list's last seal")
	d.startOver(false)
	d.night()
	assert.Equal(t, wanted, d.everything())

	for failing := 1; ; failing++ {
		dir := t.TempDir()
		for name, text := range whole {
			require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
		}
		_, _, err := compactArchive(t.Context(), dir, failAt(failing, os.ErrPermission))
		if err == nil {
			assert.Greater(t, failing, 6)
			break
		}
		_, _, err = compactArchive(t.Context(), dir, disk.Layer{})
		require.NoError(t, err, failing)
		findings, err := intake.VerifyArchive(t.Context(), dir)
		require.NoError(t, err)
		require.Empty(t, findings, failing)
	}
}

// archivedContent is a line of the archive's list.
type archivedContent struct{ Feed, SHA256, Event string }

func (c archivedContent) path(dir string) string {
	return filepath.Join(dir, "archive", c.Feed, c.SHA256+".parquet")
}

// archivedContents are the contents that the list delivered, in order.
func archivedContents(t *testing.T, list []byte) (contents []archivedContent) {
	t.Helper()
	for line := range bytes.Lines(list) {
		var one archivedContent
		require.NoError(t, json.Unmarshal(line, &one))
		if one.Event == "delivered" {
			contents = append(contents, one)
		}
	}
	return contents
}

// copyTree reads all files below a folder but the ledger's.
func copyTree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, name := range filesBelow(t, dir, "archive", "inbox") {
		text, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		files[name] = string(text)
	}
	return files
}
