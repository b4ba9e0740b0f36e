package scenario_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/scenario"
)

// The demo district of the default seed, written once for all tests of this package.
var (
	demoDir   string
	demoTruth scenario.Truth
)

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "demo-district-")
	if err == nil {
		demoDir = filepath.Join(dir, "district")
		demoTruth, err = scenario.Write(demoDir, scenario.Options{})
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	code := m.Run()
	_ = os.RemoveAll(dir)
	os.Exit(code)
}

// row is one delivered row as a plain reader sees it, without the package's help.
type row struct {
	feed, file string
	line       int
	raw        string
	cells      map[string]string
	width      int // cells found
	wanted     int // cells of the header
	isBroken   bool
}

func (r row) number(t *testing.T, column string) float64 {
	t.Helper()
	if r.cells[column] == "" || r.cells[column] == "T" {
		return 0
	}
	x, err := strconv.ParseFloat(r.cells[column], 64)
	require.NoError(t, err, "%s:%d: %s", r.file, r.line, column)
	return x
}

// readFeed reads every file of a feed in the order of its name, leaving out a file that repeats another.
func readFeed(t *testing.T, feed string) []row {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(demoDir, "inbox", feed))
	require.NoError(t, err)
	seen := map[[32]byte]bool{}
	var rows []row
	for _, entry := range entries {
		body, err := os.ReadFile(filepath.Join(demoDir, "inbox", feed, entry.Name()))
		require.NoError(t, err)
		if sum := sha256.Sum256(body); !seen[sum] {
			seen[sum] = true
			rows = append(rows, readFile(t, feed, entry.Name(), body)...)
		}
	}
	return rows
}

func readFile(t *testing.T, feed, name string, body []byte) []row {
	t.Helper()
	if strings.HasSuffix(name, ".parquet") {
		return readParquet(t, feed, name, body)
	}
	if strings.HasSuffix(name, ".gz") {
		unpack, err := gzip.NewReader(bytes.NewReader(body))
		require.NoError(t, err)
		body, err = io.ReadAll(unpack)
		require.NoError(t, err)
	}
	lines := strings.Split(strings.TrimSuffix(strings.TrimPrefix(string(body), "\ufeff"), "\n"), "\n")
	header := strings.Split(strings.TrimSuffix(lines[0], "\r"), ",")
	var rows []row
	for i, text := range lines[1:] {
		text = strings.TrimSuffix(text, "\r")
		r := row{feed: feed, file: name, line: i + 2, raw: text, wanted: len(header), cells: map[string]string{}}
		cells, err := csv.NewReader(strings.NewReader(text)).Read()
		r.isBroken, r.width = err != nil, len(cells)
		for k := range min(len(cells), len(header)) {
			r.cells[header[k]] = cells[k]
		}
		rows = append(rows, r)
	}
	return rows
}

func readParquet(t *testing.T, feed, name string, body []byte) []row {
	t.Helper()
	table, err := pqarrow.ReadTable(context.Background(), bytes.NewReader(body), parquet.NewReaderProperties(memory.DefaultAllocator),
		pqarrow.ArrowReadProperties{}, memory.DefaultAllocator)
	require.NoError(t, err)
	defer table.Release()
	rows := make([]row, table.NumRows())
	width := int(table.NumCols())
	for i := range rows {
		rows[i] = row{feed: feed, file: name, line: i + 1, cells: map[string]string{}, width: width, wanted: width}
	}
	for c := range width {
		i := 0
		for _, chunk := range table.Column(c).Data().Chunks() {
			for k := range chunk.Len() {
				if !chunk.IsNull(k) {
					rows[i].cells[table.Column(c).Name()] = parquetCell(chunk, k)
				}
				i++
			}
		}
	}
	return rows
}

func parquetCell(chunk any, k int) string {
	switch values := chunk.(type) {
	case *array.Timestamp:
		return time.UnixMicro(int64(values.Value(k))).UTC().Format(time.RFC3339)
	case *array.Float64:
		return strconv.FormatFloat(values.Value(k), 'f', -1, 64)
	case *array.String:
		return values.Value(k)
	}
	return ""
}

// reference reads one reference table.
func reference(t *testing.T, name string) []row {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(demoDir, "reference", name))
	require.NoError(t, err)
	return readFile(t, "reference", name, body)
}

// keys are the values of one column of a reference table.
func keys(t *testing.T, name, column string) map[string]row {
	t.Helper()
	all := map[string]row{}
	for _, r := range reference(t, name) {
		require.False(t, r.isBroken)
		all[r.cells[column]] = r
	}
	require.NotEmpty(t, all)
	return all
}

// goodOnce keeps each feed's good rows: the tests only read them.
var goodOnce = map[string][]row{}

// goodRows are a feed's rows that truth.json does not call bad.
func goodRows(t *testing.T, feed string) []row {
	t.Helper()
	if good, has := goodOnce[feed]; has {
		return good
	}
	bad := map[string]bool{}
	for _, b := range demoTruth.BadRows {
		bad[fmt.Sprintf("%s/%s:%d", b.Feed, b.File, b.Line)] = true
	}
	var good []row
	for _, r := range readFeed(t, feed) {
		if !bad[fmt.Sprintf("%s/%s:%d", r.feed, r.file, r.line)] {
			good = append(good, r)
		}
	}
	require.NotEmpty(t, good)
	goodOnce[feed] = good
	return good
}

var placeOnce = sync.OnceValues(func() (*time.Location, error) { return time.LoadLocation(demoTruth.TimeZone) })

// at reads a time of a row: with an offset, or local, where the repeated hour is read as the first.
func at(text string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
		if instant, err := time.Parse(layout, text); err == nil {
			return instant.UTC(), nil
		}
	}
	place, err := placeOnce()
	if err != nil {
		return time.Time{}, err
	}
	local, err := time.ParseInLocation("2006-01-02 15:04", text, place)
	if err == nil && local.Format("2006-01-02 15:04") != text {
		return time.Time{}, fmt.Errorf("%q does not exist in %s", text, demoTruth.TimeZone)
	}
	return local.UTC(), err
}

func mustAt(t *testing.T, text string) time.Time {
	t.Helper()
	instant, err := at(text)
	require.NoError(t, err)
	return instant
}
