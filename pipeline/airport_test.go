package pipeline

import (
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/ledger"
)

// airportStorms are the storms of January 2014 that the public record of the airport's days names (31 Dec to 2 Jan, 4 to 5, 10, 18, 20 to
// 21,
// 25 and 26 January), each from its first to its last report of measurable snow or of freezing rain or drizzle, read by eye.
var airportStorms = [][2]string{
	{"2014-01-01T00:51:00Z", "2014-01-02T19:51:00Z"}, {"2014-01-04T21:51:00Z", "2014-01-06T01:51:00Z"},
	{"2014-01-10T13:32:00Z", "2014-01-10T13:51:00Z"},
	{"2014-01-18T18:51:00Z", "2014-01-18T21:51:00Z"}, {"2014-01-20T23:51:00Z", "2014-01-21T08:51:00Z"},
	{"2014-01-25T09:08:00Z", "2014-01-25T10:07:00Z"},
	{"2014-01-26T09:51:00Z", "2014-01-26T12:51:00Z"},
}

func dataFile(t *testing.T, name string) string {
	t.Helper()
	folder := os.Getenv("LANETALLY_DATA")
	if folder == "" {
		folder = filepath.Join(repoRoot, "..", "shared", "data")
	}
	path, err := filepath.Abs(filepath.Join(folder, name))
	require.NoError(t, err)
	if _, err := os.Stat(path); err != nil {
		t.Skip(name + " is not in LANETALLY_DATA")
	}
	return path
}

// runAirport builds the district of the month of reports and runs a night over it.
func runAirport(t *testing.T) string {
	t.Helper()
	reports := dataFile(t, "airport-2014-01.metar")
	dir := filepath.Join(t.TempDir(), "airport")
	build := exec.CommandContext(t.Context(), "sh", filepath.Join(repoRoot, "testdata", "airport-2014", "build.sh"), dir)
	build.Env = append(os.Environ(), "LANETALLY_DATA="+filepath.Dir(reports))
	output, err := build.CombinedOutput()
	require.NoError(t, err, string(output))
	nightAirport(t, dir)
	return dir
}

func nightAirport(t *testing.T, dir string, flags ...string) {
	t.Helper()
	_, words, code := lanetally(t, append([]string{"nightly", dir, "--now", "2014-02-01T09:15:00Z"}, flags...)...)
	require.Zero(t, code, words)
}

// TestAirportMonth runs a real month of METAR and SPECI and holds it against the official record of the same station, an independent
// answer:
// water within 5 % of the month and 0.06 in of each full day; against the storms of the record; and against a count of wintry reports made
// another way than the program's.
func TestAirportMonth(t *testing.T) {
	dir := runAirport(t)
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	checkAirportWater(t, l)
	assert.Equal(t, []string{"683|SPECI", "685|METAR"}, textRows(t, l,
		"select line, string_split(raw, ' ')[2] from quarantine where reason = 'truncated report' and contains(raw, '2014-01-18T17')"))
	assert.Equal(t, []string{"684|-SN"}, textRows(t, l,
		"select line, present_wx from observations where observed_at = '2014-01-18 17:51:00Z'"))
	assert.Equal(t, []string{"1131|1120|0|0|11"}, textRows(t, l,
		"select rows_read, accepted, duplicates, corrections, quarantined from intake where feed = 'weather'"))

	storms, err := readPublished(dir, "storms")
	require.NoError(t, err)
	var spans [][2]string
	for _, storm := range storms {
		spans = append(spans, [2]string{storm["began_at"], storm["ended_at"]})
	}
	for _, known := range airportStorms {
		at := slices.IndexFunc(spans, func(span [2]string) bool { return span[0] <= known[0] && span[1] >= known[1] })
		if assert.GreaterOrEqual(t, at, 0, "%v lies in no storm", known) && strings.HasPrefix(known[0], "2014-01-25") {
			freezing, err := strconv.ParseFloat(storms[at]["freezing_h"], 64)
			require.NoError(t, err)
			assert.Positive(t, freezing, "freezing rain with a trace of water")
		}
	}
	assert.Equal(t, wintrySpans(t, dataFile(t, "airport-2014-01.metar")), spans)
}

// checkAirportWater compares sums by CST day (UTC - 6 h). The reports begin within 31 December and end within 31 January: the days between
// are whole, and the month's sum misses the last six hours of a day with 0.01 in.
func checkAirportWater(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	file, err := os.Open(dataFile(t, "airport-2014-01-daily.csv"))
	require.NoError(t, err)
	defer file.Close()
	official, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	found := map[string]float64{}
	for _, row := range textRows(t, l, "select cast(timezone('UTC', observed_at) - interval 6 hour as date), sum(precip_in) from "+
		"observations group by all") {
		date, water, _ := strings.Cut(row, "|")
		if found[date], err = strconv.ParseFloat(water, 64); water != "" {
			require.NoError(t, err)
		}
	}
	var month, officialMonth float64
	for _, row := range official[1:] {
		water, err := strconv.ParseFloat(strings.ReplaceAll(row[1], "T", "0"), 64)
		require.NoError(t, err)
		if row[0] < "2014-01-01" {
			continue
		}
		month, officialMonth = month+found[row[0]], officialMonth+water
		if row[0] < "2014-01-31" {
			assert.InDelta(t, water, found[row[0]], 0.06, row[0])
		}
	}
	assert.InDelta(t, 2.82, officialMonth, 1e-9)
	assert.LessOrEqual(t, math.Abs(month-officialMonth), 0.05*officialMonth, "%v in", month)
}

var (
	bodyOfReport  = regexp.MustCompile(`^(\S+)Z (METAR|SPECI) (?:COR )?KORD \d{6}Z (.*?)(?: RMK (.*))?$`)
	wholeDegrees  = regexp.MustCompile(` (M?\d\d)/(?:M?\d\d)?\b`)
	tenthDegrees  = regexp.MustCompile(`\bT([01])(\d{3})[01]\d{3}\b`)
	hourlyWater   = regexp.MustCompile(` P(\d{4})\b`)
	fallingGroup  = regexp.MustCompile(` [-+]?(?:TS|SH|FZ)?(?:DZ|RA|SN|SG|IC|PL|GR|GS|UP)+\b`)
	anyTempGroup  = regexp.MustCompile(` [-+]?(?:(?:TS|SH)?(?:SN|SG|PL|GS|IC)*SN(?:SG|PL|GS|IC)*|FZ(?:RA|DZ|SN|PL)+)\b`)
	coldGroup     = regexp.MustCompile(` [-+]?(?:TS|SH)?(?:\w\w)*(?:SG|PL|GS|RASN|SNRA)(?:\w\w)*\b`)
	freezingPoint = regexp.MustCompile(` [-+]?(?:TS|SH)?(?:RA|DZ|GR|UP)+\b`)
	driftingSnow  = regexp.MustCompile(` BLSN\b`)
)

// wintrySpans tells the storms of a file of reports by regular expressions over its lines, apart from the program's decoder and queries.
func wintrySpans(t *testing.T, path string) [][2]string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	sort.SliceStable(lines, func(i, j int) bool { return lines[i][:17] < lines[j][:17] })
	highest := 0
	var wintry []time.Time
	var water []int
	var fell time.Time
	for _, line := range lines {
		parts := bodyOfReport.FindStringSubmatch(strings.TrimRight(line, "\r="))
		if parts == nil || !wholeDegrees.MatchString(parts[3]) {
			continue
		}
		at, err := time.Parse("2006-01-02T15:04", parts[1])
		require.NoError(t, err)
		added, isTrace := 0, false
		if sum := hourlyWater.FindStringSubmatch(" " + parts[4]); sum != nil {
			value, err := strconv.Atoi(sum[1])
			require.NoError(t, err)
			added, isTrace, highest = max(value-highest, 0), value == 0, max(value, highest)
		}
		if parts[2] == "METAR" {
			highest = 0
		}
		celsius, body := celsiusOf(t, parts), " "+parts[3]
		isWintry := anyTempGroup.MatchString(body) || coldGroup.MatchString(body) && celsius <= 40.0/9 ||
			freezingPoint.MatchString(body) && celsius <= 0 || !fallingGroup.MatchString(body) && (added > 0 || isTrace) &&
			celsius <= 10.0/9
		if isWintry {
			fell = at
		} else if !driftingSnow.MatchString(body) || fell.IsZero() || at.Sub(fell) > 6*time.Hour {
			continue
		}
		wintry, water = append(wintry, at), append(water, added)
	}
	return keptSpans(wintry, water)
}

func celsiusOf(t *testing.T, parts []string) float64 {
	t.Helper()
	if tenths := tenthDegrees.FindStringSubmatch(parts[4]); tenths != nil {
		value, err := strconv.ParseFloat(tenths[2], 64)
		require.NoError(t, err)
		if tenths[1] == "1" {
			value = -value
		}
		return value / 10
	}
	whole := wholeDegrees.FindStringSubmatch(parts[3])[1]
	value, err := strconv.ParseFloat(strings.ReplaceAll(whole, "M", "-"), 64)
	require.NoError(t, err)
	return value
}

// keptSpans parts wintry instants at gaps of over 6 h and keeps the runs of two instants or of 0.01 in.
func keptSpans(wintry []time.Time, water []int) [][2]string {
	var spans [][2]string
	for first := 0; first < len(wintry); {
		next, sum := first+1, water[first]
		for next < len(wintry) && wintry[next].Sub(wintry[next-1]) <= 6*time.Hour {
			sum += water[next]
			next++
		}
		if wintry[next-1].After(wintry[first]) || sum >= 1 {
			spans = append(spans, [2]string{wintry[first].Format(time.RFC3339), wintry[next-1].Format(time.RFC3339)})
		}
		first = next
	}
	return spans
}

// TestAirportFilesDoNotMatter: the month split into files of other names, with and without leading times, and a rebuild from the archive
// alone give the same exports, but for intake and quarantine.
func TestAirportFilesDoNotMatter(t *testing.T) {
	dir := runAirport(t)
	wanted := exportBytes(t, dir)
	inbox := filepath.Join(dir, "inbox", "weather")
	whole := filepath.Join(inbox, "airport-2014-01.metar")
	text, err := os.ReadFile(whole)
	require.NoError(t, err)
	lines := strings.SplitAfter(strings.TrimSpace(string(text))+"\n", "\n")
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "archive")))
	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	require.NoError(t, os.Remove(whole))
	var undated strings.Builder
	for _, line := range lines[700:] {
		if len(line) > 18 {
			undated.WriteString(line[18:])
		}
	}
	for name, part := range map[string]string{"b.txt": strings.Join(lines[300:700], ""), "c-2014-01.metar": undated.String(),
		"z.metar": strings.Join(lines[:300], "")} {
		require.NoError(t, os.WriteFile(filepath.Join(inbox, name), []byte(part), 0o644))
	}
	nightAirport(t, dir, "--accept", "its rows moved into other files")
	assert.Equal(t, wanted, exportBytes(t, dir), "split")
	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "inbox")))
	nightAirport(t, dir)
	assert.Equal(t, wanted, exportBytes(t, dir), "from the archive alone")
}

// exportBytes gives the exports that splitting files must not change.
func exportBytes(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, name := range contract.ExportNames {
		if name == "intake" || name == "quarantine" {
			continue
		}
		contract, err := contract.LoadContract("exports", name)
		require.NoError(t, err)
		text, err := os.ReadFile(filepath.Join(dir, "current", "data", contract.ExportFiles()[0]))
		require.NoError(t, err)
		out[name] = string(text)
	}
	require.NotEmpty(t, out["weather_findings"])
	return out
}
