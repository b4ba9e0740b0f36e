package pipeline

import (
	"encoding/csv"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const hostileHeader = "pass_id,truck_id,crew_id,route_id,began_at,ended_at,material_id,dispensed_lb\n"

// hostileRow is a pass that is fine but for what is put into it.
func hostileRow(id, truck, began, pounds string) string {
	return id + "," + truck + ",c2,r2," + began + ",2028-01-10 09:00,salt," + pounds + "\n"
}

// hostileFiles are deliveries that something is wrong with, and the reason that each must get; "" where all rows count.
var hostileFiles = []struct{ name, content, reason string }{
	{"nul.csv", hostileHeader + hostileRow("h1\x00", "t2", "2028-01-10 08:00", "10"), "NUL byte in the line"},
	{"latin.csv", hostileHeader + hostileRow("h2\xe9", "t2", "2028-01-10 08:00", "10"), "not UTF-8"},
	{"bom.csv", "\xef\xbb\xbf" + hostileHeader + hostileRow("h3", "t2", "2028-01-10 08:00", "10"), ""},
	{"mixed.csv", strings.Replace(hostileHeader, "\n", "\r\n", 1) + hostileRow("h4", "t2", "2028-01-10 08:01", "10"), ""},
	{"quote.csv", hostileHeader + "\"h5,t2,c2,r2,2028-01-10 08:00,2028-01-10 09:00,salt,10\n", "unclosed quote"},
	{"comma.csv", hostileHeader + hostileRow("h6", "t2", "2028-01-10 08:00", `"10,5"`), ReasonNumber},
	{"nan.csv", hostileHeader + hostileRow("h7", "t2", "2028-01-10 08:00", "NaN"), ReasonNumber},
	{"inf.csv", hostileHeader + hostileRow("h8", "t2", "2028-01-10 08:00", "Inf"), ReasonNumber},
	{"huge.csv", hostileHeader + hostileRow("h9", "t2", "2028-01-10 08:00", "1e400"), ReasonOutOfRange},
	{"header.csv", hostileHeader, ""},
	{"twice.csv", strings.Replace(hostileHeader, "material_id", "truck_id", 1) + hostileRow("h10", "t2", "2028-01-10 08:00", "10"), ReasonHeaderTwice},
	{"renamed.csv", strings.Replace(hostileHeader, "truck_id", "unit", 1) + hostileRow("h11", "t2", "2028-01-10 08:00", "10"), ReasonColumnMissing},
	{"past.csv", hostileHeader + hostileRow("h12", "t2", "1970-01-10 08:00", "10"), ReasonTooLong},
	{"drop.csv", hostileHeader + hostileRow("h13", "'; drop table passes; --", "2028-01-10 08:00", "10"), "unknown truck"},
	{"markup.csv", hostileHeader + hostileRow("h14", "<script>alert(1)</script>", "2028-01-10 08:00", "10"), "unknown truck"},
	{"formula.csv", hostileHeader + hostileRow("h15", "=1+1", "2028-01-10 08:00", "10"), "unknown truck"},
	{"=cmd.csv", hostileHeader + hostileRow("h16", "@x", "2028-01-10 08:00", "10"), "unknown truck"},
	{"utf16.csv", "\xff\xfea\x00,\x00", "UTF-16, not UTF-8"},
	{"empty.csv", "", "empty file"},
	{"bad.csv.gz", "\x1f\x8b\x08\x00nothing", "damaged gzip"},
	{"text.parquet", "no table", "damaged Parquet"},
	{"'; drop table intake; --.csv", hostileHeader + hostileRow("h17", "-x", "2028-01-10 08:00", "10"), "unknown truck"},
}

// TestHostileDeliveries puts every file into one night: each gets its reason and a remedy, and everything else is loaded.
func TestHostileDeliveries(t *testing.T) {
	dir := copyTiny(t)
	plain := mustNight(t, copyTiny(t), faultNow)
	for _, file := range hostileFiles {
		addFile(t, dir, "passes/"+file.name, file.content)
	}
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "inbox/passes/pipe.csv"), 0o644))
	require.NoError(t, os.Symlink("/etc/hostname", filepath.Join(dir, "inbox/passes/link.csv")))
	report := mustNight(t, dir, faultNow)
	reasons, remedies := map[string]string{"pipe.csv": "", "link.csv": ""}, map[string]string{}
	for _, row := range readExport(t, dir, "quarantine")[1:] {
		name := strings.TrimPrefix(row[1], "'")
		reasons[name], remedies[name] = row[4], row[5]
	}
	counted := 0
	for _, file := range append(slices.Clone(hostileFiles), struct{ name, content, reason string }{"pipe.csv", "", "not a regular file"},
		struct{ name, content, reason string }{"link.csv", "", "link out of the folder"}) {
		name := strings.TrimPrefix(file.name, "'")
		assert.Equal(t, file.reason, reasons[name], file.name)
		if file.reason != "" {
			assert.NotEmpty(t, remedies[name], file.name)
		} else if strings.Contains(file.content, "h") && file.name != "header.csv" {
			counted++
		}
	}
	assert.Equal(t, plain.Counts.Passes+int64(counted), report.Counts.Passes)
	assertInertCells(t, dir)
	assertWhole(t, dir, "hostile names")
}

func readExport(t *testing.T, dir, name string) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join(dir, "current", "data", name+".csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	return rows
}

// assertInertCells: no cell of a text column can be taken for a formula, and no page holds a delivered tag.
func assertInertCells(t *testing.T, dir string) {
	t.Helper()
	for _, name := range []string{"quarantine", "intake"} {
		for _, row := range readExport(t, dir, name)[1:] {
			for _, cell := range row {
				assert.False(t, cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])), "%s: %q", name, cell)
			}
		}
	}
	page, err := os.ReadFile(filepath.Join(dir, "current", "public", "data.html"))
	require.NoError(t, err)
	assert.NotContains(t, string(page), "<script>alert")
}

// TestHostileReferenceNames: names that look like paths, devices, markup and each other make pages of their own below the folder, and
// every link leads to one of them.
func TestHostileReferenceNames(t *testing.T) {
	dir := copyTiny(t)
	crews := filepath.Join(dir, "reference", "crews.csv")
	header, _, _ := strings.Cut(string(must(os.ReadFile(crews))), "\n")
	blanks := strings.Repeat(",", strings.Count(header, ",")-1)
	require.True(t, strings.HasPrefix(header, "crew_id,label"), header)
	for _, name := range []string{"../x", "CON", "a/b", "North", "north", "<b>b</b>", "=1+1", "' drop table crews --", "x y&z"} {
		addText(t, crews, name+","+name+blanks+"\n")
	}
	addText(t, filepath.Join(dir, "district.toml"), "\n[publish]\ncrew_pages = \"all\"\n")
	mustNight(t, dir, faultNow)
	pages, err := filepath.Glob(filepath.Join(dir, "current", "public", "crews", "*.html"))
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(pages), 9)
	folded := map[string]bool{}
	for _, page := range pages {
		assert.False(t, folded[strings.ToLower(page)], "two names that differ by case alone share %s", page)
		folded[strings.ToLower(page)] = true
	}
	assert.NoFileExists(t, filepath.Join(dir, "current", "x.html"))
	findings, err := verifyDistrict(t.Context(), dir)
	require.NoError(t, err)
	assert.Empty(t, findings)
}

func must(text []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return text
}

// TestSQLInSettings: a text of district.toml is a text, whatever it says.
func TestSQLInSettings(t *testing.T) {
	dir := copyTiny(t)
	replaced := strings.Replace(string(must(os.ReadFile(filepath.Join(dir, "district.toml")))), "Tiny district", "x'; drop table run; -- </title>", 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "district.toml"), []byte(replaced), 0o644))
	mustNight(t, dir, faultNow)
	page := string(must(os.ReadFile(filepath.Join(dir, "current", "public", "index.html"))))
	assert.NotContains(t, page, "-- </title>")
	assert.Contains(t, page, "drop table run")
}

// TestClocksAndZonesOfTheHost: a clock that goes back, a date that is days off, leap day and a strange host zone change no figure; no release is written over.
func TestClocksAndZonesOfTheHost(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, time.Date(2028, 2, 29, 11, 15, 0, 0, time.UTC))
	wanted := exportsOf(t, dir)
	for _, at := range []string{"2028-02-29T10:15:00Z", "2028-02-29T11:15:00Z", "2028-02-27T11:15:00Z", "2028-03-12T09:15:00Z", "2028-11-05T08:15:00Z"} {
		now, err := time.Parse(time.RFC3339, at)
		require.NoError(t, err)
		mustNight(t, dir, now)
		assert.Equal(t, wanted, exportsOf(t, dir), at)
	}
	ids, err := releaseIDs(dir)
	require.NoError(t, err)
	assert.Len(t, ids, 6)
	program := buildProgram(t)
	for _, zone := range []string{"TZ=", "TZ=Pacific/Kiritimati", "TZ=:/nowhere/at/all", "TZ=XYZ-14:30"} {
		words := new(strings.Builder)
		command := commandOf(program, words, "nightly", dir, "--now", "2028-12-01T11:15:00Z")
		command.Env = append(os.Environ(), zone)
		require.NoError(t, command.Run(), "%s: %s", zone, words)
		assert.Equal(t, wanted, exportsOf(t, dir), zone)
	}
}

// TestManyNights simulates nights with deliveries that come late, twice, grow and vanish, and with faults by seed: the disk stays bounded, nothing
// leaks, and the last exports are those of one night over everything.
func TestManyNights(t *testing.T) {
	nights, random := 8, rand.New(rand.NewPCG(20290211, 12))
	if isTorture {
		nights = 200
	}
	dir := copyTiny(t)
	addText(t, filepath.Join(dir, "district.toml"), "keep_releases = 3\n")
	mustNight(t, dir, faultNow)
	goroutines, descriptors := runtime.NumGoroutine(), openDescriptors(t)
	for night := 1; night <= nights; night++ {
		addFile(t, dir, "passes/night.csv", hostileHeader+growingRows(night))
		now := faultNow.AddDate(0, 0, night)
		options := NightlyOptions{Dir: dir, Now: now, Words: io.Discard, Accept: "simulated"}
		switch random.IntN(4) {
		case 0:
			options.files = failAt(1+random.IntN(500), diskErrors[random.IntN(3)])
		case 1:
			require.NoError(t, os.RemoveAll(filepath.Join(dir, "ledger.duckdb")))
		}
		if _, err := Nightly(t.Context(), options); err != nil {
			require.Equal(t, exitFiles, ExitCode(err), "%v", err)
		}
		assertWhole(t, dir, now.String())
	}
	mustNight(t, dir, faultNow.AddDate(0, 0, nights+1))
	once := copyTiny(t)
	addFile(t, once, "passes/night.csv", hostileHeader+growingRows(nights))
	mustNight(t, once, faultNow)
	assert.Equal(t, exportsOf(t, once), exportsOf(t, dir))
	ids, err := releaseIDs(dir)
	require.NoError(t, err)
	months := nights/28 + 2
	assert.LessOrEqual(t, len(ids), 3+months)
	runtime.GC()
	assert.LessOrEqual(t, runtime.NumGoroutine(), goroutines+2)
	assert.LessOrEqual(t, openDescriptors(t), descriptors+2)
	noteResult(t, "simulated nights with random faults", nights, "last exports right; releases bounded; no goroutine or descriptor left")
}

func growingRows(night int) string {
	rows := ""
	for i := range night {
		rows += hostileRow("n"+string(rune('a'+i%26))+strings.Repeat("x", i/26), "t2", "2028-01-10 08:"+string([]byte{'0' + byte(i/10%6), '0' + byte(i%10)}), "100")
	}
	return rows
}
