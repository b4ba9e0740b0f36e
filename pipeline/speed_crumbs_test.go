package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// benchNow is after the invented winters.
var benchNow = time.Date(2030, time.June, 1, 9, 0, 0, 0, time.UTC)

// scanColumns gives DuckDB the columns of the positions, so that it need not find out.
const scanColumns = `{'truck_id': 'VARCHAR', 'at': 'TIMESTAMPTZ', 'lat': 'DOUBLE', 'lon': 'DOUBLE', 'speed_mph': 'DOUBLE',
	'spreading': 'BOOLEAN',
	'rate_lb_per_lane_mi': 'DOUBLE', 'dispensed_total_lb': 'DOUBLE', 'material_id': 'VARCHAR',
	'plow_down': 'BOOLEAN', 'lanes': 'DOUBLE', 'crew_id': 'VARCHAR'}`

// measureReading holds reading and loading against DuckDB's count of the same files.
func (b *bench) measureReading() {
	f, dir := newFleet(b.district), filepath.Join(b.TempDir(), "district")
	newFleetDistrict(b.T, dir, f)
	require.NoError(b, os.Remove(filepath.Join(dir, "inbox", "weather", "winter.csv")))
	for day := range b.scanDays {
		deliverCrumbs(b.T, dir, f, day)
	}
	pool, points := openPlain(b.T, ""), int64(0)
	scan := func() {
		query := fmt.Sprintf("select count(*) from read_csv('%s', header = true, auto_detect = false, columns = %s)",
			filepath.Join(dir, "inbox", "breadcrumbs", "*.csv"), scanColumns)
		require.NoError(b, pool.QueryRow(query).Scan(&points))
	}
	times := b.inTurn(scan, func() { b.readAll(dir, points) }, func() { b.loadAnew(dir) })
	b.note("points read, and DuckDB's count of them", "%d, %.2f s", points, times[0])
	b.ask("read, checked, quarantine kept, against that count", times[1]/times[0], 3, "%.2f times")
	b.ask("the whole load, with archive, matching, passes and Parquet, against that count", times[2]/times[0], 12, "%.2f times")
	b.note("the whole load", "%.0f points a second", float64(points)/times[2])
}

// readAll reads the files as loading does, the next inspected while one is read, and keeps what cannot be used.
func (b *bench) readAll(dir string, want int64) {
	n := b.emptyNight(dir)
	defer func() { require.NoError(b, n.ledger.Close()) }()
	root, err := os.OpenRoot(dir)
	require.NoError(b, err)
	defer root.Close()
	feeds, err := intake.NewFeedLoaders(n.settings)
	require.NoError(b, err)
	files, _, err := intake.ScanInbox(root)
	require.NoError(b, err)
	looks := intake.InspectAhead(&intake.FileStamps{Root: root}, files)
	defer looks.End()
	ctx, rows, kept := context.Background(), int64(0), 0
	for _, file := range files {
		look := looks.Next()
		require.NoError(b, look.Err)
		reader, err := delivery.Open(root, file.Path)
		require.NoError(b, err)
		ahead := delivery.NewAhead(reader, nil)
		parser, rejected := feeds[contract.CrumbsFeed].NewParser(intake.KeyOf(file, look.Content.SHA256), reader.Header())
		require.Nil(b, rejected)
		var faulty []intake.FaultyRow
		for ahead.Next() {
			row := ahead.Row()
			if _, faults := parser.ParseAll(row.Cells); len(faults) > 0 {
				faulty = append(faulty, intake.FaultyRow{SHA256: look.Content.SHA256, Line: row.Line, Raw: slices.Clone(row.Raw),
					Column: faults[0].Column, Code: faults[0].Code, Found: faults[0].Found,
					Wanted: faults[0].Wanted})
			}
			rows++
		}
		ahead.Close()
		require.NoError(b, ahead.Err())
		digest, err := reader.SHA256()
		require.NoError(b, err)
		require.Equal(b, look.Content.SHA256, digest)
		require.NoError(b, reader.Close())
		kept += len(faulty)
		require.NoError(b, ledger.AppendTable(ctx, n.ledger, "raw_breadcrumbs", faulty))
	}
	require.Equal(b, want, rows)
	require.Positive(b, kept)
}

// emptyNight opens a ledger that has loaded nothing, in memory.
func (b *bench) emptyNight(dir string) *night {
	ctx := context.Background()
	n := &night{NightlyOptions: NightlyOptions{Dir: dir}}
	require.NoError(b, n.readSettings(ctx))
	var err error
	n.ledger, err = ledger.Open(ctx, "")
	require.NoError(b, err)
	require.NoError(b, ledger.PrepareDeliveryTables(ctx, n.ledger))
	return n
}

// loadAnew loads the district's inbox from nothing.
func (b *bench) loadAnew(dir string) {
	for _, name := range []string{"ledger.duckdb", "ledger.duckdb.wal", "archive"} {
		require.NoError(b, os.RemoveAll(filepath.Join(dir, name)))
	}
	load(b.T, dir)
}

// measureSeason loads a season, then one night more into it and into an empty district, and publishes that night.
func (b *bench) measureSeason() {
	f, dir := newFleet(b.district), filepath.Join(b.TempDir(), "season")
	last := b.district.StormDays - 1
	newFleetDistrict(b.T, dir, f)
	loadS, points := 0.0, 0
	for day := range last {
		path := deliverCrumbs(b.T, dir, f, day)
		deliverSheets(b.T, dir, f, day)
		points += b.district.PointsADay
		if day%8 == 7 || day == last-1 {
			loadS += load(b.T, dir)
		}
		if day%8 == 7 { // what is loaded stands in the archive
			old, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*.csv"))
			require.NoError(b, err)
			for _, done := range old {
				require.NoError(b, os.Remove(done))
			}
		}
	}
	b.note("a season loaded, in nights of 8 days", "%d points, %.0f s, %.0f points a second", points, loadS, float64(points)/loadS)
	empty := filepath.Join(b.TempDir(), "empty")
	newFleetDistrict(b.T, empty, f)
	load(b.T, empty) // the weather
	var full, alone []float64
	for range b.repeats {
		full = append(full, b.oneNight(dir, f, last, ""))
		alone = append(alone, b.oneNight(empty, f, last, ""))
	}
	b.ask("one night into the full season, the load step", median(full), 3, "%.2f s")
	b.ask("the same against the same night into an empty district", median(full)/median(alone), 1.2, "%.2f times")
	b.note("that night whole, with publishing, in a season of positions", "%.1f s, %.0f MB at most", b.oneNight(dir, f, last, "whole"),
		b.peakMB(b.copyOf(dir, f, last), ""))
}

// oneNight loads, or runs whole, one more day in a copy of a district.
func (b *bench) oneNight(dir string, f *fleet, day int, how string) float64 {
	copied := b.copyOf(dir, f, day)
	defer func() { assert.NoError(b, os.RemoveAll(filepath.Dir(copied))) }()
	if how == "whole" {
		return secondsOf(func() {
			_, err := Nightly(context.Background(), NightlyOptions{Dir: copied, Now: benchNow, Words: io.Discard})
			require.NoError(b, err)
		})
	}
	return load(b.T, copied)
}

// copyOf copies a district, lets a night pass that finds nothing new, as every district has had one that knows its files (filestamps.go),
// and delivers one more day. All of it is on the disk before anything is timed: the writing of a large copy would slow the load.
func (b *bench) copyOf(dir string, f *fleet, day int) string {
	copied := filepath.Join(b.TempDir(), "copy")
	out, err := exec.Command("cp", "-r", dir, copied).CombinedOutput()
	require.NoError(b, err, string(out))
	lock, later := filepath.Join(copied, "log", "lock"), time.Now().Add(time.Hour)
	require.NoError(b, errors.Join(os.MkdirAll(filepath.Dir(lock), 0o755), os.WriteFile(lock, nil, 0o644), os.Chtimes(lock, later, later)))
	load(b.T, copied)
	deliverCrumbs(b.T, copied, f, day)
	deliverSheets(b.T, copied, f, day)
	syscall.Sync()
	return copied
}

// measureGrowth loads 1, 2, 4 and 8 times a number of points and fits a line through the logarithms.
func (b *bench) measureGrowth() {
	var sizes, times []float64
	for _, factor := range []int{1, 2, 4, 8} {
		size := b.district
		size.StormDays = 3 * factor
		size.PointsADay = b.growthAtMin / 3
		f, dir := newFleet(size), filepath.Join(b.TempDir(), "growth")
		newFleetDistrict(b.T, dir, f)
		require.NoError(b, os.Remove(filepath.Join(dir, "inbox", "weather", "winter.csv")))
		for day := range size.StormDays {
			deliverCrumbs(b.T, dir, f, day)
		}
		sizes = append(sizes, math.Log(float64(factor)))
		times = append(times, math.Log(b.inTurn(func() { b.loadAnew(dir) })[0]))
		require.NoError(b, os.RemoveAll(dir))
	}
	b.ask(fmt.Sprintf("growth from %d points to 8 times as many: slope of the line through the logarithms", b.growthAtMin),
		slopeOf(sizes, times), 1.05, "%.3f")
}

// slopeOf is the slope of the least-squares line.
func slopeOf(x, y []float64) float64 {
	meanX, meanY := 0.0, 0.0
	for i := range x {
		meanX, meanY = meanX+x[i]/float64(len(x)), meanY+y[i]/float64(len(y))
	}
	above, below := 0.0, 0.0
	for i := range x {
		above += (x[i] - meanX) * (y[i] - meanY)
		below += (x[i] - meanX) * (x[i] - meanX)
	}
	return above / below
}

// peakMB is the most memory that loading takes in a process of its own, or a night where step is empty.
func (b *bench) peakMB(dir, step string) float64 {
	var words strings.Builder
	command := childNight{Dir: dir, Now: benchNow, KillAtStep: step}.start(b.T, &words)
	ended, most := make(chan struct{}), make(chan float64)
	go watchMemory(command.Process.Pid, ended, most)
	_ = command.Wait() // the state says it all
	close(ended)
	if step == "" {
		require.Zero(b, command.ProcessState.ExitCode(), words.String())
	} else {
		require.Equal(b, -1, command.ProcessState.ExitCode(), words.String())
	}
	return <-most
}

// watchMemory gives the most resident memory of a process, MB, as long as it lives. What the kernel tells of a child that has ended also
// holds the memory of its parent at the child's begin.
func watchMemory(pid int, ended <-chan struct{}, most chan<- float64) {
	peak := 0.0
	for {
		text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
		if _, line, found := strings.Cut(string(text), "VmHWM:"); found {
			var kilobytes float64
			if _, err := fmt.Sscan(line, &kilobytes); err == nil {
				peak = max(peak, kilobytes/1024)
			}
		}
		select {
		case <-ended:
			most <- peak
			return
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// measureState loads a state's winter, one day of which never leaves more on the disk than itself, and gives the memory of the largest
// load.
func (b *bench) measureState() {
	size, days := stateFleet(), b.stateDays
	if days == 0 {
		size, days = b.district, 2
	}
	f, dir := newFleet(size), filepath.Join(b.TempDir(), "state")
	newFleetDistrict(b.T, dir, f)
	most, seconds := 0.0, 0.0
	for day := range days {
		path := deliverCrumbs(b.T, dir, f, day)
		seconds += secondsOf(func() { most = max(most, b.peakMB(dir, "tally")) })
		require.NoError(b, os.Remove(path))
	}
	b.note("days of a state loaded, each in a process of its own", "%d days, %d points, %.0f s", days, size.PointsADay*days, seconds)
	b.ask("memory while loading, at most", most, 1000, "%.0f MB")
	if days == size.StormDays {
		deliverSheets(b.T, dir, f, days-1)
		nightS := secondsOf(func() { most = b.peakMB(dir, "") })
		b.ask("a state's whole night, with publishing", nightS, 180, "%.0f s")
		b.note("memory of that night, at most", "%.0f MB", most)
	}
}

// measureDemo runs a whole night over the demo, as it was delivered.
func (b *bench) measureDemo() {
	written, err := writtenDemo()
	require.NoError(b, err)
	first := copyDistrict(b.T, written.dir)
	b.note("the demo's first night: three winters at once", "%.1f s", b.nightSeconds(first))
	var again []float64
	for i := range b.repeats {
		again = append(again, b.nightSecondsAt(first, benchNow.AddDate(0, 0, i+1)))
	}
	b.ask("a whole night of the demo's size, with publishing", median(again), 10, "%.1f s")
}

func (b *bench) nightSeconds(dir string) float64 { return b.nightSecondsAt(dir, benchNow) }

func (b *bench) nightSecondsAt(dir string, now time.Time) float64 {
	return secondsOf(func() {
		_, err := Nightly(context.Background(), NightlyOptions{Dir: dir, Now: now, Words: io.Discard})
		require.NoError(b, err)
	})
}
