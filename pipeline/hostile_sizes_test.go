package pipeline

import (
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a hostile file may cost a night beyond an idle one.
const (
	hostileTime   = 2 * time.Second // of processor time
	hostileMemory = 256 << 10       // kB of peak memory
)

// hostileSize is a file, below the district folder, that is small or simple for what it would make a night do.
type hostileSize struct {
	path   string
	write  func(t *testing.T, to io.Writer)
	code   int    // of the night
	books  string // the file's rows read and set aside, rows listed, rows counted by those, where it is a delivery
	isLong bool   // left to torture runs
}

// lines writes a head, then a line many times.
func lines(head, line string, count int) func(*testing.T, io.Writer) {
	return func(t *testing.T, to io.Writer) {
		block := strings.Repeat(line, 1000)
		_, err := io.WriteString(to, head)
		require.NoError(t, err)
		for range count / 1000 {
			_, err := io.WriteString(to, block)
			require.NoError(t, err)
		}
	}
}

func packed(write func(*testing.T, io.Writer)) func(*testing.T, io.Writer) {
	return func(t *testing.T, to io.Writer) {
		w := gzip.NewWriter(to)
		write(t, w)
		require.NoError(t, w.Close())
	}
}

// oneText is a pass delivery in Parquet in which rows share one text.
func oneText(rows, size int) func(*testing.T, io.Writer) {
	return func(t *testing.T, to io.Writer) {
		var fields []arrow.Field
		names := []string{"truck_id", "crew_id", "route_id", "began_at", "ended_at", "note"}
		for _, name := range names {
			fields = append(fields, arrow.Field{Name: name, Type: arrow.BinaryTypes.String})
		}
		b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
		properties := parquet.NewWriterProperties(parquet.WithCompression(compress.Codecs.Zstd))
		w, err := pqarrow.NewFileWriter(b.Schema(), struct{ io.Writer }{to}, properties, pqarrow.DefaultWriterProps())
		require.NoError(t, err)
		for written := 0; written < rows; written += 500 {
			for range 500 {
				for i, text := range []string{"t2", "c2", "r2", "2028-01-10 08:00", "2028-01-10 09:00", strings.Repeat("x", size)} {
					b.Field(i).(*array.StringBuilder).Append(text)
				}
			}
			require.NoError(t, w.WriteBuffered(b.NewRecordBatch()))
		}
		require.NoError(t, w.Close())
	}
}

// hostileSizes: the numbers of rows follow from the construction.
var hostileSizes = []hostileSize{
	{path: "inbox/passes/text.parquet", write: oneText(20_000, 60_000), books: "0 0 1 1"},
	{path: "inbox/passes/lines.csv.gz", write: packed(lines(hostileHeader, "x\n", 4_000_000)), books: "0 0 1 1"},
	{path: "inbox/passes/short.csv.gz", write: packed(lines(hostileHeader, "x\n", 900_000)), books: "900000 900000 1001 900000"},
	{path: "inbox/passes/x.csv", write: lines("", "x\n", 8_000_000), books: "7999999 7999999 1001 7999999"},
	{path: "inbox/passes/xx.csv", write: lines("", "x\n", 32_000_000), books: "31999999 31999999 1001 31999999", isLong: true},
	{path: "inbox/passes/columns.csv", write: lines("", "a,", 1_000_000), books: "0 0 1 1"},
	{path: "inbox/breadcrumbs/positions.csv.gz", write: packed(lines("truck_id,at,lat,lon\n", "t2,2028-01-10 08:00,40,-105\n", 380_000))},
	{path: "inbox/breadcrumbs/unknown.csv.gz", write: packed(lines("truck_id,at,lat,lon\n", "t9,2028-01-10 08:00,40,-105\n", 380_000)),
		books: "380000 380000 1001 380000", isLong: true},
	{path: "inbox/passes/empty.csv.gz", write: packed(lines(hostileHeader, ",,,,,,,\n", 690_000)),
		books: "690000 690000 1001 690000", isLong: true},
	{path: "inbox/weather/x.metar.gz", write: packed(lines("", "x\n", 900_000)), books: "900000 900000 1001 900000", isLong: true},
	{path: "reference/trucks.csv", write: lines("truck_id\nt1\nt2\n", "t9\n", 300_000), code: exitReference},
	{path: "reference/route_lines.geojson", code: exitReference,
		write: lines(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"route_id":"r1"},"geometry":`+
			`{"type":"LineString","coordinates":[[1,1]`, ",[1,1]", 5_000_000)},
}

// nightCost runs a night of the real program and tells its exit code, processor time and peak memory in kB.
func nightCost(t *testing.T, dir string) (code int, spent time.Duration, peak int64, words string) {
	t.Helper()
	said := new(bytes.Buffer)
	command := commandOf(buildProgram(t), said, "nightly", dir, "--now", "2028-03-01T11:15:00Z", "--accept", "a test")
	require.NoError(t, command.Start())
	ended := make(chan struct{})
	go func() {
		_ = command.Wait() // the state says it all
		close(ended)
	}()
	for { // the peak that the system gives in the end is that of this process, where it is higher
		if now := peakOf(command.Process.Pid); now > peak {
			peak = now
		}
		select {
		case <-ended:
			state := command.ProcessState
			return state.ExitCode(), state.UserTime() + state.SystemTime(), peak, said.String()
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// peakOf is the peak memory of a process so far, in kB; 0 where it has ended.
func peakOf(pid int) int64 {
	status, _ := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "status"))
	_, rest, _ := strings.Cut(string(status), "VmHWM:")
	number, _, _ := strings.Cut(strings.TrimSpace(rest), " ")
	peak, _ := strconv.ParseInt(number, 10, 64)
	return peak
}

// TestCostOfHostileSizes: each file costs the night in which it comes, and the next, little more than an idle night, and all of its
// rows are in the books.
func TestCostOfHostileSizes(t *testing.T) {
	r := beginResult(t, "small files that are huge", "at most 2 s and 256 MB above an idle night; every row in the books")
	idle := copyTiny(t)
	mustNight(t, idle, faultNow)
	_, spentIdle, peakIdle, _ := nightCost(t, idle)
	require.Greater(t, peakIdle, int64(20<<10))
	for _, hostile := range hostileSizes {
		if hostile.isLong && !isTorture {
			continue
		}
		r.count++
		dir := copyDistrict(t, idle)
		path := filepath.Join(dir, filepath.FromSlash(hostile.path))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		file, err := os.Create(path)
		require.NoError(t, err)
		hostile.write(t, file)
		require.NoError(t, file.Close())
		for night := range 2 {
			if night > 0 && !isTorture {
				break
			}
			code, spent, peak, words := nightCost(t, dir)
			require.Equal(t, hostile.code, code, "%s: %.2000s", hostile.path, words)
			limit := hostileTime
			if strings.HasPrefix(hostile.path, "inbox/breadcrumbs/") {
				limit *= 2 // each position is placed forward and backward
			}
			assert.Less(t, spent-spentIdle, limit, "%s, night %d: processor time", hostile.path, night)
			assert.Less(t, peak-peakIdle, int64(hostileMemory), "%s, night %d: peak memory in kB", hostile.path, night)
			t.Logf("%s, night %d: %.1f s and %d MB above an idle night", hostile.path, night, (spent - spentIdle).Seconds(),
				(peak-peakIdle)>>10)
		}
		if hostile.books != "" {
			assert.Equal(t, hostile.books, booksOf(t, dir, filepath.Base(path)), hostile.path)
		}
		require.NoError(t, os.RemoveAll(dir))
	}
}

// booksOf are, of a delivery, the rows read and set aside of intake, and the rows of quarantine and their sum.
func booksOf(t *testing.T, dir, file string) string {
	t.Helper()
	text, listed, counted := "", 0, 0
	for _, row := range readExport(t, dir, "intake")[1:] {
		if row[1] == file {
			text = row[4] + " " + row[8]
		}
	}
	for _, row := range readExport(t, dir, "quarantine")[1:] {
		if row[1] == file {
			listed++
			counted += int(number(t, row[7]))
		}
	}
	return text + " " + strconv.Itoa(listed) + " " + strconv.Itoa(counted)
}
