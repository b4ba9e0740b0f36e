package pipeline

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// benchVariable names the size of the measurements of speed and memory: small, season or state. `make bench` sets it.
const benchVariable = "LANETALLY_BENCH"

// benchSize is what each size measures. Small is for trying: its figures say little, and no limit is asked of them.
type benchSize struct {
	name        string
	isAsked     bool // the limits are asked
	district    fleetSize
	stateDays   int // days of a state that are loaded, of fleet.State's; 0: none
	sheets      fleetSize
	growthAtMin int // points at the first of four sizes, each twice the one before
	repeats     int
	scanDays    int // days of CSV that are read and loaded at once, against DuckDB
}

var benchSizes = map[string]benchSize{
	"small": {district: shrunk(districtFleet(), 6, 20_000, 400), sheets: shrunk(sheetFleet(), 6, 0, 1000), growthAtMin: 20_000,
		repeats: 1, scanDays: 3},
	"season": {isAsked: true, district: districtFleet(), stateDays: 3, sheets: sheetFleet(), growthAtMin: 1_000_000, repeats: 5,
		scanDays: districtFleet().StormDays},
	"state": {isAsked: true, district: districtFleet(), stateDays: stateFleet().StormDays, sheets: sheetFleet(),
		growthAtMin: 1_000_000, repeats: 5, scanDays: districtFleet().StormDays},
}

func shrunk(size fleetSize, days, points, passes int) fleetSize {
	size.StormDays, size.PointsADay, size.PassesADay = days, points, passes
	size.Stations, size.WeatherHours = min(size.Stations, 12), 60*24
	return size
}

// bench is one run of the measurements.
type bench struct {
	*testing.T
	benchSize
	figures []benchFigure
}

// benchFigure is one line of the report; limit is the most that value may be, 0 where none is asked.
type benchFigure struct {
	what, value string
	ratio       float64
	limit       float64
}

// note keeps a figure without a limit.
func (b *bench) note(what, format string, values ...any) {
	b.figures = append(b.figures, benchFigure{what: what, value: fmt.Sprintf(format, values...)})
	b.Logf("%s: %s", what, b.figures[len(b.figures)-1].value)
}

// ask keeps a figure that may be at most limit.
func (b *bench) ask(what string, value, limit float64, format string) {
	b.figures = append(b.figures, benchFigure{what: what, value: fmt.Sprintf(format, value), ratio: value, limit: limit})
	b.Logf("%s: "+format+", at most "+format, what, value, limit)
}

// TestSpeed measures speed and memory side by side on this machine, and writes testdata/bench/RESULTS.md. It fails, once all is written,
// where a figure is over its limit.
func TestSpeed(t *testing.T) {
	size, known := benchSizes[os.Getenv(benchVariable)]
	if !known {
		t.Skipf("measured by make bench, which sets %s to small, season or state", benchVariable)
	}
	size.name = os.Getenv(benchVariable)
	b := &bench{T: t, benchSize: size}
	for _, measure := range []func(){b.measureTally, b.measureReading, b.measureSeason, b.measureGrowth, b.measureDemo, b.measureState} {
		measure()
		require.NoError(t, os.WriteFile(filepath.Join(repoRoot, "testdata", "bench", "RESULTS.md"), []byte(b.report()), 0o644))
	}
	for _, f := range b.figures {
		if b.isAsked && f.limit > 0 {
			assert.LessOrEqual(t, f.ratio, f.limit, f.what)
		}
	}
}

// report is RESULTS.md.
func (b *bench) report() string {
	out := &strings.Builder{}
	fmt.Fprintf(out, "# Speed and memory\n\nWritten by `make bench SIZE=%s`; medians of %d. Every ratio is of two times taken in turn "+
		"in this one run.\n\n", b.name, b.repeats)
	if !b.isAsked {
		out.WriteString("This is a trial at a small size: its figures say little, and no limit was asked.\n\n")
	}
	fmt.Fprintf(out, "Machine: %d cores, %s memory, %s. %s, DuckDB %s, %s, %s.\n\n| what | figure | limit | |\n|---|---|---|---|\n",
		runtime.NumCPU(), memoryText(), runtime.GOARCH,
		runtime.Version(), b.duckVersion(), "SQLite "+firstWords(b.T, 1, "sqlite3", "--version"),
		"pandas "+firstWords(b.T, 1, python, "-c", "import pandas; print(pandas.__version__)"))
	for _, f := range b.figures {
		limit, verdict := "", ""
		if f.limit > 0 {
			limit, verdict = fmt.Sprintf("at most %v", math.Round(f.limit*1000)/1000), "ok"
			switch {
			case !b.isAsked:
				verdict = "not asked"
			case f.ratio > f.limit:
				verdict = "**over**"
			}
		}
		fmt.Fprintf(out, "| %s | %s | %s | %s |\n", f.what, f.value, limit, verdict)
	}
	return out.String()
}

func memoryText() string {
	var info syscall.Sysinfo_t
	if err := syscall.Sysinfo(&info); err != nil {
		return "unknown"
	}
	return fmt.Sprintf("%.0f GiB", float64(info.Totalram)*float64(info.Unit)/(1<<30))
}

func firstWords(t *testing.T, count int, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).Output()
	require.NoError(t, err, "%s: is it installed? sh .ci/setup bench", name)
	words := strings.Fields(string(out))
	return strings.Join(words[:min(count, len(words))], " ")
}

func (b *bench) duckVersion() string {
	var version string
	require.NoError(b, openPlain(b.T, "").QueryRow("select version()").Scan(&version))
	return version
}

// secondsOf times work.
func secondsOf(work func()) float64 {
	began := time.Now()
	work()
	return time.Since(began).Seconds()
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// inTurn times each work in turn, repeats times over, and gives the median of each.
func (b *bench) inTurn(works ...func()) []float64 {
	times := make([][]float64, len(works))
	for range b.repeats {
		for i, work := range works {
			runtime.GC()
			times[i] = append(times[i], secondsOf(work))
		}
	}
	medians := make([]float64, len(works))
	for i := range times {
		medians[i] = median(times[i])
	}
	return medians
}

// newFleetDistrict writes a district folder without deliveries, but for the weather.
func newFleetDistrict(t *testing.T, dir string, f *fleet) {
	t.Helper()
	require.NoError(t, writeNewDistrict(dir, "Measured district"))
	path := filepath.Join(dir, "district.toml")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	local := strings.Replace(string(text), `time_zone = "UTC"`, fmt.Sprintf("time_zone = %q", fleetTimeZone), 1)
	require.Contains(t, local, fleetTimeZone)
	require.NoError(t, os.WriteFile(path, []byte(local), 0o644))
	require.NoError(t, f.WriteReference(dir))
	writeTo(t, filepath.Join(dir, "inbox", "weather", "winter.csv"),
		func(file *os.File) error { _, err := f.WriteWeather(file); return err })
}

func writeTo(t *testing.T, path string, write func(*os.File) error) {
	t.Helper()
	file, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, errors.Join(write(file), file.Close()))
}

// deliverCrumbs puts the positions of a day into the inbox, deliverSheets its pass sheets.
func deliverCrumbs(t *testing.T, dir string, f *fleet, day int) string {
	t.Helper()
	path := filepath.Join(dir, "inbox", "breadcrumbs", f.DayName(day)+".csv")
	writeTo(t, path, func(file *os.File) error { _, err := f.WriteCrumbs(file, day); return err })
	return path
}

func deliverSheets(t *testing.T, dir string, f *fleet, day int) {
	t.Helper()
	writeTo(t, filepath.Join(dir, "inbox", "passes", f.DayName(day)+".csv"),
		func(file *os.File) error { _, err := f.WriteSheets(file, day); return err })
}

// loadedNight loads what waits in a district's inbox and gives the night, with its ledger open, and the seconds of the load step.
func loadedNight(t *testing.T, dir string) (*night, float64) {
	t.Helper()
	n := &night{NightlyOptions: NightlyOptions{Dir: dir}, report: newRunReport(time.Unix(0, 0))}
	var err error
	ctx := context.Background()
	require.NoError(t, n.readSettings(ctx))
	require.NoError(t, n.readReference(ctx))
	n.ledger, err = ledger.Open(ctx, filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	return n, secondsOf(func() { require.NoError(t, n.load(ctx)) })
}

// load is loadedNight for its seconds alone.
func load(t *testing.T, dir string) float64 {
	t.Helper()
	n, seconds := loadedNight(t, dir)
	require.NoError(t, n.ledger.Close())
	return seconds
}
