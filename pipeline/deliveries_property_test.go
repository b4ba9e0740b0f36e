package pipeline

import (
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Deliveries that come late, twice, corrected, growing or not at all, and files that are deleted, over any number of nights, end in what
// the plain model says of the contents in force, and in the tables of one night over those contents.
func TestScriptsOfDeliveries(t *testing.T) {
	setRapidChecks(t, drawsOf(5, 300))
	r := beginResult(t, "deliveries late, twice, corrected, growing, deleted",
		"rows in force and intake as the plain model says; tables of one night over the same contents")
	d := newDistrict(t)
	names := []string{"a.csv", "a/b.csv", "a-b.csv", "Z.csv"}
	rapid.Check(t, func(rt *rapid.T) {
		d.startOver(true)
		require.NoError(rt, os.Mkdir(filepath.Join(d.dir, "inbox"), 0o755))
		inbox, inForce := map[string]drawnFile{}, map[string]drawnFile{}
		night := func() {
			d.load()
			maps.Copy(inForce, inbox)
		}
		for range rapid.IntRange(1, 8).Draw(rt, "events") {
			name := rapid.SampledFrom(names).Draw(rt, "name")
			file, isThere := inbox[name]
			switch event := rapid.SampledFrom([]string{"deliver", "grow", "again", "delete", "night"}).Draw(rt, "event"); {
			case event == "night":
				night()
			case event == "delete" && isThere:
				require.NoError(rt, os.Remove(filepath.Join(d.dir, "inbox/passes", name)))
				delete(inbox, name)
			case event == "grow" && isThere:
				inbox[name] = drawnFile{name, append(slices.Clone(file.rows), drawRow(rt))}
				d.deliver("passes/"+name, inbox[name].text())
			case event == "again" && isThere:
				d.deliver("passes/"+name, file.text())
			default:
				inbox[name] = drawnFile{name, rapid.SliceOfN(rapid.Custom(drawRow), 0, 6).Draw(rt, "rows")}
				d.deliver("passes/"+name, inbox[name].text())
			}
		}
		night()
		d.tell()
		files := slices.Collect(maps.Values(inForce))
		d.assertModel(rt, files)
		wanted := d.everything()

		d.startOver(true)
		for _, file := range files {
			d.deliver("passes/"+file.name, file.text())
		}
		d.night()
		require.Equal(rt, wanted, d.everything(), "one night over the contents in force")
		r.count++
	})
}

// drawAgreeing draws rows of which none contradicts another: the key decides the value.
func drawAgreeing(t *rapid.T) []string {
	var rows []string
	for _, id := range rapid.SliceOfN(rapid.IntRange(1, 9), 1, 14).Draw(t, "ids") {
		rows = append(rows, strings.TrimSuffix(pass(fmt.Sprint("p", id), fmt.Sprint("T", 1+id%3), "10", fmt.Sprint(100*id)), "\n"))
	}
	return rows // truck T3 is not known: a third of the rows is set aside
}

// drawSplit deals rows out to files of drawn names, plain or in gzip, with line ends of either kind.
func drawSplit(t *rapid.T, rows []string) map[string][]string {
	names := rapid.Permutation([]string{"x.csv", "sub/y.csv", "B.csv", "b.csv.gz", "2030-01.csv"}).Draw(t,
		"names")[:rapid.IntRange(1, 5).Draw(t, "files")]
	files := map[string][]string{}
	for _, row := range rapid.Permutation(rows).Draw(t, "rows in order") {
		name := rapid.SampledFrom(names).Draw(t, "file of the row")
		files[name] = append(files[name], row)
	}
	return files
}

func textOf(t *testing.T, name, header string, rows []string, end string) string {
	t.Helper()
	text := strings.TrimSuffix(header, "\n") + end + strings.Join(rows, end) + end
	if strings.HasSuffix(name, ".gz") {
		return gzipped(t, text)
	}
	return text
}

// Rows that do not contradict each other give the same passes however they are dealt out to files, whatever these are called and in what
// order they come.
func TestSplitsAndNamesDoNotMatter(t *testing.T) {
	setRapidChecks(t, drawsOf(5, 300))
	r := beginResult(t, "deliveries split, concatenated, renamed, shuffled", "passes in force identical")
	d := newDistrict(t)
	const told = "select * exclude (file, line, pass_no) from passes order by pass_key"
	rapid.Check(t, func(rt *rapid.T) {
		rows := drawAgreeing(rt)
		d.startOver(true)
		d.deliver("passes/all.csv", textOf(t, "all.csv", passesHeader, rows, "\n"))
		d.night()
		wanted := d.rows(told)
		d.startOver(true)
		for name, part := range drawSplit(rt, rows) {
			d.deliver("passes/"+name, textOf(t, name, passesHeader, part, rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(rt, "line end")))
			if rapid.Bool().Draw(rt, "night") {
				d.load()
			}
		}
		d.night()
		require.Equal(rt, wanted, d.rows(told))
		r.count++
	})
}

// exportsBut gives each live export, all but the named.
func exportsBut(t *testing.T, dir string, but ...string) map[string]string {
	t.Helper()
	exports := map[string]string{}
	folder := filepath.Join(dir, "current", "data") + "/"
	require.NoError(t, filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		name := filepath.Base(path)
		if err != nil || entry.IsDir() || slices.Contains(but, strings.TrimSuffix(name, filepath.Ext(name))) {
			return err
		}
		text, err := os.ReadFile(path)
		exports[name] = string(text)
		return err
	}))
	require.Greater(t, len(exports), 20)
	return exports
}

// The exports of whole nights are the same bytes, but for intake and quarantine, however the tiny district's passes are dealt out to files
// and nights.
func TestExportsDoNotDependOnDelivery(t *testing.T) {
	setRapidChecks(t, drawsOf(1, 40))
	r := beginResult(t, "whole nights over deliveries dealt out to files and nights", "exports identical but for intake and quarantine")
	once := copyTiny(t)
	delivered := filepath.Join("inbox", "passes", "2028-01.csv")
	text, err := os.ReadFile(filepath.Join(once, delivered))
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	require.Greater(t, len(lines), 5)
	mustNight(t, once, faultNow)
	wanted := exportsBut(t, once, "intake", "quarantine")
	rapid.Check(t, func(rt *rapid.T) {
		dir := copyTiny(t)
		require.NoError(rt, os.Remove(filepath.Join(dir, delivered)))
		for name, part := range drawSplit(rt, lines[1:]) {
			addFile(t, dir, "passes/"+name, textOf(t, name, lines[0], part, "\n"))
			if rapid.IntRange(0, 3).Draw(rt, "night") == 0 {
				_, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow, Words: io.Discard, Accept: "drawn"})
				require.NoError(rt, err)
			}
		}
		_, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, 1), Words: io.Discard, Accept: "drawn"})
		require.NoError(rt, err)
		require.Equal(rt, wanted, exportsBut(t, dir, "intake", "quarantine"))
		r.count++
	})
}
