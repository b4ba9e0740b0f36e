package pipeline

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// setRapidChecks bounds how often the properties of this test run, each over several whole nights.
func setRapidChecks(t *testing.T, checks string) {
	t.Helper()
	former := flag.Lookup("rapid.checks").Value.String()
	require.NoError(t, flag.Set("rapid.checks", checks))
	t.Cleanup(func() { require.NoError(t, flag.Set("rapid.checks", former)) })
}

// drawsOf is the number of draws of a property: few as a rule, many in a torture run.
func drawsOf(few, many int) string {
	if isTorture {
		return strconv.Itoa(many)
	}
	return strconv.Itoa(few)
}

// drawnFile is a delivery of a property: a name below inbox/passes and its rows.
type drawnFile struct {
	name string
	rows []drawnRow
}

// drawnRow is a row of a drawn delivery: what its key and value are when it is good; key "" when it is bad.
type drawnRow struct{ text, key, value string }

func drawRow(t *rapid.T) drawnRow {
	id := rapid.SampledFrom([]string{"p1", "p2", "p3", ""}).Draw(t, "id")
	truck := rapid.SampledFrom([]string{"T1", "T2"}).Draw(t, "truck")
	pounds := rapid.SampledFrom([]string{"100", "120", ""}).Draw(t, "pounds")
	key := "id:" + id
	if id == "" {
		key = "at:" + truck + "@2030-01-15T13:30:00Z"
	}
	good := drawnRow{strings.TrimSuffix(pass(id, truck, "10", pounds), "\n"), key, truck + "/" + pounds}
	bad := []string{
		strings.TrimSuffix(pass(id, "T9", "10", pounds), "\n"), strings.TrimSuffix(pass(id, truck, "2", pounds), "\n"), "short,row",
		"p1,\"T1,north", "\xe9," + good.text[strings.Index(good.text, ",")+1:], "p1,\x00", strings.Repeat("y", 70_000),
	}
	if choice := rapid.IntRange(0, 3*len(bad)).Draw(t, "bad"); choice < len(bad) {
		return drawnRow{text: bad[choice]}
	}
	return good
}

func drawFiles(t *rapid.T) []drawnFile {
	names := []string{"a.csv", "a/b.csv", "a-b.csv", "Z.csv", "z.csv"}
	var files []drawnFile
	for _, name := range rapid.Permutation(names).Draw(t, "names")[:rapid.IntRange(1, len(names)).Draw(t, "files")] {
		rows := rapid.SliceOfN(rapid.Custom(drawRow), 0, 8).Draw(t, "rows")
		files = append(files, drawnFile{name, rows})
	}
	if rapid.Bool().Draw(t, "twice") {
		files = append(files, drawnFile{"twice.csv", files[0].rows})
	}
	return files
}

func (f drawnFile) text() string {
	text := passesHeader
	for _, row := range f.rows {
		text += row.text + "\n"
	}
	return text
}

// modelOf is the plain Go model of telling: what intake must say of files, and which row of each key is in force, as key|pounds|file|line.
func modelOf(files []drawnFile) (out, passes []string) {
	sorted := append([]drawnFile(nil), files...)
	sort.Slice(sorted, func(i, j int) bool { return sorted[i].name < sorted[j].name })
	first, inForce, places := map[string]string{}, map[string]string{}, map[string]string{}
	for _, file := range sorted {
		if same, ok := first[file.text()]; ok {
			out = append(out, fmt.Sprintf("passes|%s|%s|0|0|0|0|0", file.name, same))
			continue
		}
		first[file.text()] = file.name
		counts := map[string]int{}
		for i, row := range file.rows {
			value, known := inForce[row.key]
			switch {
			case row.key == "":
				counts["quarantined"]++
				continue
			case !known:
				counts["accepted"]++
			case value == row.value:
				counts["duplicate"]++
			default:
				counts["correction"]++
			}
			if !known || value != row.value {
				_, pounds, _ := strings.Cut(row.value, "/")
				if pounds != "" {
					pounds += ".0"
				}
				places[row.key] = fmt.Sprintf("%s|%s|%s|%d", row.key, pounds, file.name, i+2)
			}
			inForce[row.key] = row.value
		}
		out = append(out, fmt.Sprintf("passes|%s||%d|%d|%d|%d|%d", file.name, len(file.rows), counts["accepted"], counts["duplicate"],
			counts["correction"], counts["quarantined"]))
	}
	return out, slices.Sorted(maps.Values(places))
}

const passesInForce = "select pass_key, dispensed_lb, file, line from passes order by pass_key"

// assertModel asks that the ledger says what the model says of the files whose contents are in force.
func (d *testDistrict) assertModel(t require.TestingT, files []drawnFile) {
	intake, passes := modelOf(files)
	require.Equal(t, intake, d.rows(intakeRows))
	found := d.rows(passesInForce)
	slices.Sort(found)
	require.Equal(t, passes, found)
}

var toldTables = []string{
	"select * from intake", "select * from quarantine", "select * from set_aside", "select * from passes order by all",
	"select * from as_of",
	"select feed, file, sha256 from delivery_files order by all", "select * exclude (raw), hex(raw) from raw_passes order by all",
	"select * from contents order by all",
}

func (d *testDistrict) everything() string {
	d.t.Helper()
	var all []string
	for _, query := range toldTables {
		all = append(all, query)
		all = append(all, d.rows(query)...)
	}
	return strings.Join(all, "\n")
}

// startOver forgets the ledger and, where wanted, the folder too.
func (d *testDistrict) startOver(withFolder bool) {
	d.t.Helper()
	require.NoError(d.t, d.ledger.Exec(d.t.Context(), "drop table if exists delivery_layout"))
	if withFolder {
		for _, name := range []string{"inbox", "archive"} {
			require.NoError(d.t, os.RemoveAll(filepath.Join(d.dir, name)))
		}
	}
}

// Any order of arrival, any split into nights, replaced files and a rebuild from nothing, with and without the inbox, end in the
// same tables; and they say what the plain model says.
func TestOrderOfArrivalDoesNotMatter(t *testing.T) {
	setRapidChecks(t, drawsOf(8, 300))
	d := newDistrict(t)
	rapid.Check(t, func(rt *rapid.T) {
		files := drawFiles(rt)
		d.startOver(true)
		for _, file := range files {
			d.deliver("passes/"+file.name, file.text())
		}
		d.night()
		wanted := d.everything()
		d.assertModel(rt, files)
		d.night()
		require.Equal(rt, wanted, d.everything(), "the same night again")

		d.startOver(true)
		for _, file := range rapid.Permutation(files).Draw(rt, "arrival") {
			if rapid.Bool().Draw(rt, "had a former content") {
				d.deliver("passes/"+file.name, passesHeader+pass("former", "T1", "10", "1"))
				d.load()
			}
			d.deliver("passes/"+file.name, file.text())
			if rapid.Bool().Draw(rt, "night") {
				d.load()
			}
		}
		d.night()
		require.Equal(rt, wanted, d.everything(), "another order of arrival")
		d.startOver(false)
		d.night()
		require.Equal(rt, wanted, d.everything(), "rebuilt with the inbox")
		d.startOver(false)
		require.NoError(rt, os.RemoveAll(filepath.Join(d.dir, "inbox")))
		d.night()
		require.Equal(rt, wanted, d.everything(), "rebuilt without the inbox")
	})
}
