package crumbs

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/trace"
)

// delivery is a file of positions of one or two trucks.
type delivery struct {
	file, sha256 string
	rows         []testRow
}

type testRow struct {
	truck string
	ms    int64
	lat   float64
	total float64
}

const firstMS = int64(19_700 * dayMS) // 2023-12-09

// district is a store in a folder with its own names, as after a restart.
type district struct {
	folder Folder
	files  map[string]string
	counts map[string]Count // by day and content
	traces map[Day][]string // what take saw
}

func newDistrict(folder Folder) *district {
	return &district{folder: folder, files: map[string]string{}, counts: map[string]Count{}, traces: map[Day][]string{}}
}

func (d *district) apply(t require.TestingT, add []delivery, drop []string, days []Day) {
	names := NewNames()
	for _, one := range add {
		d.files[one.sha256] = one.file
	}
	for _, content := range drop {
		delete(d.files, content)
	}
	store := NewStore(d.folder, names, trace.DefaultSettings(), d.files)
	change := Change{Drop: drop, Days: days}
	for _, one := range add {
		for i, row := range one.rows {
			p := trace.Point{AtMS: row.ms, Lat: row.lat, Lon: -100, SpeedMPH: 25, RateLbPerLaneMi: math.NaN(), TotalLb: row.total, Lanes: math.NaN(), Material: names.Number("salt"), Spreading: trace.Yes}
			change.Add = append(change.Add, Row{Point: p, Truck: names.Number(row.truck), Content: names.Number(one.sha256), Line: int64(i + 2)})
		}
	}
	seen := map[Day][]string{}
	result, err := store.Apply(change, func(tr Trace) error {
		text := fmt.Sprint(tr.Truck, " ", len(tr.Points))
		for _, p := range tr.Points {
			text += fmt.Sprintf(" %d:%g:%g:%s", p.AtMS, p.Lat, p.TotalLb, names.Text(p.Material))
		}
		seen[tr.Day] = append(seen[tr.Day], text)
		return nil
	})
	require.NoError(t, err)
	for key, count := range d.counts {
		if slices.Contains(result.Days, count.Day) {
			delete(d.counts, key)
		}
	}
	for _, count := range result.Counts {
		d.counts[fmt.Sprint(count.Day, count.Content)] = count
	}
	for _, day := range result.Days {
		delete(d.traces, day)
		if len(seen[day]) > 0 {
			d.traces[day] = seen[day]
		}
	}
}

// shelf is a folder in memory that a test looks through quickly.
type shelf map[string]string

type openShelf struct{ *strings.Reader }

func (openShelf) Stat() (fs.FileInfo, error) { return nil, fs.ErrInvalid }
func (openShelf) Close() error               { return nil }

func (m shelf) Open(name string) (fs.File, error) {
	text, found := m[name]
	if !found {
		return nil, fs.ErrNotExist
	}
	return openShelf{strings.NewReader(text)}, nil
}

func (m shelf) Write(name string, write func(io.Writer) error) error {
	var text bytes.Buffer
	err := write(&text)
	m[name] = text.String()
	return err
}

func (m shelf) Remove(name string) error {
	delete(m, name)
	return nil
}

// tree reads all files below a folder.
func tree(t require.TestingT, dir string) map[string]string {
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		files[strings.TrimPrefix(path, dir)] = string(text)
		return err
	})
	require.NoError(t, err)
	return files
}

// invent makes deliveries of two trucks over some days, cut at random, some rows delivered twice, some corrected by a later file.
func invent(random *rand.Rand) []delivery {
	var all []delivery
	for truck := range 2 {
		name := fmt.Sprint("truck ", truck)
		ms, lat, total := firstMS+int64(random.IntN(dayMS)), 45.0, 0.0
		var rows []testRow
		for range 200 {
			gap := int64(60_000 + random.IntN(400_000))
			if random.IntN(40) == 0 {
				gap = int64(random.IntN(2 * dayMS))
			}
			ms, lat, total = ms+gap, lat+0.01*random.Float64(), total+30
			rows = append(rows, testRow{name, ms, lat, total})
		}
		for begin := 0; begin < len(rows); {
			end := min(begin+1+random.IntN(120), len(rows))
			part := slices.Clone(rows[max(0, begin-random.IntN(3)):end])
			if random.IntN(3) == 0 {
				part[0].lat += 0.001
			}
			all = append(all, delivery{file: fmt.Sprintf("%d-%04d.csv", truck, begin), sha256: fmt.Sprintf("%x%04d", truck+10, begin), rows: part})
			begin = end
		}
	}
	return all
}

// Whatever the nights the deliveries come in, and whatever came and went between: the same files, counts and traces.
func TestAnyOrderOfDelivery(t *testing.T) {
	for seed := range uint64(12) {
		random := rand.New(rand.NewPCG(seed, 3))
		deliveries := invent(random)
		whole := newDistrict(shelf{})
		whole.apply(t, deliveries, nil, nil)
		parts := newDistrict(shelf{})
		shuffled := slices.Clone(deliveries)
		random.Shuffle(len(shuffled), func(i, k int) { shuffled[i], shuffled[k] = shuffled[k], shuffled[i] })
		wrong := delivery{file: deliveries[0].file, sha256: "wrong", rows: slices.Clone(deliveries[0].rows)}
		for i := range wrong.rows {
			wrong.rows[i].lat += 0.01
		}
		parts.apply(t, []delivery{wrong}, nil, nil)
		wrongDays := daysOf(wrong)
		for len(shuffled) > 0 {
			n := min(1+random.IntN(3), len(shuffled))
			if random.IntN(4) == 0 && wrongDays != nil {
				parts.apply(t, shuffled[:n], []string{"wrong"}, wrongDays)
				wrongDays = nil
			} else {
				parts.apply(t, shuffled[:n], nil, nil)
			}
			shuffled = shuffled[n:]
		}
		if wrongDays != nil {
			parts.apply(t, nil, []string{"wrong"}, wrongDays)
		}
		parts.apply(t, deliveries[:1], nil, nil) // once more, as after a crash
		assert.Equal(t, whole.traces, parts.traces)
		assert.Equal(t, whole.counts, parts.counts)
		assert.Equal(t, whole.folder, parts.folder)
		rows, told := 0, 0
		for _, one := range deliveries {
			rows += len(one.rows)
		}
		for _, count := range whole.counts {
			told += count.Accepted + count.Duplicates + count.Corrections
		}
		assert.Equal(t, rows, told)
	}
}

func daysOf(one delivery) (days []Day) {
	for _, row := range one.rows {
		days = append(days, DayOf(row.ms))
	}
	return days
}

// A row that a later file contradicts comes back when that file goes.
func TestDroppedCorrection(t *testing.T) {
	dir := t.TempDir()
	d := newDistrict(Dir(dir))
	row := testRow{"t", firstMS + 1000, 45, 10}
	other := row
	other.total = 20
	d.apply(t, []delivery{{"a.csv", "aa", []testRow{row}}, {"b.csv", "bb", []testRow{other, other}}}, nil, nil)
	day := DayOf(row.ms)
	assert.Equal(t, map[Day][]string{day: {"t 1 1702080001000:45:20:salt"}}, d.traces)
	assert.Equal(t, Count{day, "bb", 0, 1, 1}, d.counts[fmt.Sprint(day, "bb")])
	d.apply(t, nil, []string{"bb"}, []Day{day})
	assert.Equal(t, map[Day][]string{day: {"t 1 1702080001000:45:10:salt"}}, d.traces)
	assert.Equal(t, map[string]Count{fmt.Sprint(day, "aa"): {day, "aa", 1, 0, 0}}, d.counts)
	d.apply(t, nil, []string{"aa"}, []Day{day})
	assert.Empty(t, d.traces)
	assert.Empty(t, tree(t, dir))
}

// Midnight cuts nothing: a trace lies in the file of the day it began.
func TestTraceOverMidnight(t *testing.T) {
	dir := t.TempDir()
	d := newDistrict(Dir(dir))
	var rows []testRow
	for i := range int64(20) {
		rows = append(rows, testRow{"t", firstMS + dayMS - 600_000 + 60_000*i, 45 + 0.01*float64(i), 0})
	}
	d.apply(t, []delivery{{"a.csv", "aa", rows}}, nil, nil)
	require.Len(t, d.traces, 1)
	assert.Len(t, d.traces[DayOf(firstMS)], 1)
	files := tree(t, dir)
	require.Len(t, files, 1)
	assert.Contains(t, files, "/season=2023-24/month=2023-12/2023-12-09.parquet")
}

func TestPaths(t *testing.T) {
	for day, want := range map[Day]string{
		0: "season=1969-70/month=1970-01/1970-01-01.parquet", -1: "season=1969-70/month=1969-12/1969-12-31.parquet",
		19904: "season=2023-24/month=2024-06/2024-06-30.parquet", 19905: "season=2024-25/month=2024-07/2024-07-01.parquet",
	} {
		assert.Equal(t, want, day.path())
		assert.Equal(t, day, DayOf(int64(day)*dayMS))
		assert.Equal(t, day, DayOf(int64(day)*dayMS+dayMS-1))
	}
}

func TestDamagedFile(t *testing.T) {
	dir := t.TempDir()
	d := newDistrict(Dir(dir))
	row := testRow{"t", firstMS, 45, 10}
	d.apply(t, []delivery{{"a.csv", "aa", []testRow{row}}}, nil, nil)
	path := filepath.Join(dir, DayOf(firstMS).path())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, text[:len(text)/2], 0o644))
	store := NewStore(d.folder, NewNames(), trace.DefaultSettings(), d.files)
	_, err = store.Apply(Change{Days: []Day{DayOf(firstMS)}}, func(Trace) error { return nil })
	assert.ErrorContains(t, err, "2023-12-09.parquet: damaged file")
}

func TestFailedWriteLeavesTheOldFile(t *testing.T) {
	dir := Dir(t.TempDir())
	require.NoError(t, dir.Write("a/b", func(w io.Writer) error { _, err := w.Write([]byte("old")); return err }))
	err := dir.Write("a/b", func(w io.Writer) error { w.Write([]byte("new")); return io.ErrShortWrite })
	assert.ErrorIs(t, err, io.ErrShortWrite)
	assert.Equal(t, map[string]string{"/a/b": "old"}, tree(t, string(dir)))
}

func BenchmarkApply(b *testing.B) {
	names := NewNames()
	var rows []Row
	for truck := range 20 {
		for i := range int64(8640) {
			rows = append(rows, Row{Point: trace.Point{AtMS: firstMS + i*10_000, Lat: 45 + 0.001*float64(i), Lon: -100, SpeedMPH: 30, TotalLb: float64(i), RateLbPerLaneMi: math.NaN(), Lanes: math.NaN()},
				Truck: names.Number(fmt.Sprint("t", truck)), Content: names.Number("aa"), Line: i})
		}
	}
	store := NewStore(Dir(b.TempDir()), names, trace.DefaultSettings(), map[string]string{"aa": "a.csv"})
	b.ResetTimer()
	for b.Loop() {
		_, err := store.Apply(Change{Add: slices.Clone(rows)}, func(Trace) error { return nil })
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.N*len(rows))/b.Elapsed().Seconds()/1e6, "Mpoints/s")
	var text bytes.Buffer
	require.NoError(b, encode(&text, rows, names))
	b.ReportMetric(float64(text.Len())/float64(len(rows)), "bytes/point")
}
