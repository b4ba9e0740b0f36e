package crumbs

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
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

// district is a store in a folder with its own names, as after a restart, and what a ledger would keep of it.
type district struct {
	dir    Dir
	files  map[string]string
	counts map[string]Count // by day and content
	traces []seenTrace
	days   map[string][]Day // of each content
	built  int              // traces that the last apply built
}

type seenTrace struct {
	truck           string
	day             Day
	firstMS, lastMS int64
	text            string
}

func newDistrict(t require.TestingT, dir string) *district {
	return &district{dir: Dir{Path: dir}, files: map[string]string{}, counts: map[string]Count{}, days: map[string][]Day{}}
}

// apply is a night that adds deliveries and drops contents. Small limits make the rows spill and the days fall into several parts.
func (d *district) apply(t require.TestingT, add []delivery, drop []string) {
	names := NewNames()
	store, err := Open(d.dir, names, trace.DefaultSettings())
	require.NoError(t, err)
	arrivals := NewArrivals(d.dir, names)
	arrivals.limit = 150
	change := Change{Replaced: slices.Clone(drop), Files: d.files}
	var days []Day
	for _, one := range add {
		d.files[one.sha256] = one.file
		change.Replaced = append(change.Replaced, one.sha256)
		arrivals.Begin(one.sha256)
		for i, row := range one.rows {
			p := trace.Point{AtMS: row.ms, Lat: row.lat, Lon: -100, SpeedMPH: 25, RateLbPerLaneMi: math.NaN(), TotalLb: row.total,
				Lanes: math.NaN(), Material: names.Number("salt"), Spreading: trace.Yes}
			require.NoError(t, arrivals.Add(Row{Point: p, Truck: names.Number(row.truck), Line: int64(i + 2)}))
			d.days[one.sha256] = append(d.days[one.sha256], DayOf(row.ms))
		}
	}
	days = arrivals.Days()
	for _, content := range change.Replaced {
		days = append(days, d.days[content]...)
	}
	for _, content := range drop {
		delete(d.files, content)
		delete(d.days, content)
	}
	slices.Sort(days)
	change.Arrivals = arrivals
	d.built = 0
	for _, chunk := range Chunks(slices.Compact(days)) {
		change.Days = chunk
		d.applyChunk(t, store, names, change)
	}
	require.NoError(t, arrivals.Close())
}

func (d *district) applyChunk(t require.TestingT, store *Store, names *Names, change Change) {
	var seen []seenTrace
	take := func(tr Trace) func() error {
		text := fmt.Sprint(tr.Truck, " ", len(tr.Points))
		for i, p := range tr.Points {
			text += fmt.Sprintf(" %d:%g:%g:%s:%s:%d", p.AtMS, p.Lat, p.TotalLb, names.Text(p.Material), names.Text(tr.Origins[i].Content),
				tr.Origins[i].Line)
		}
		return func() error {
			seen = append(seen, seenTrace{tr.Truck, tr.Day, tr.Points[0].AtMS, tr.Points[len(tr.Points)-1].AtMS, text})
			return nil
		}
	}
	result, err := store.Apply(change, take, take, take)
	require.NoError(t, err)
	require.True(t, slices.IsSortedFunc(seen, func(a, b seenTrace) int {
		return cmp.Or(cmp.Compare(a.truck, b.truck), cmp.Compare(a.lastMS, b.lastMS))
	}), "finished by truck and time")
	d.built += len(seen)
	for key, count := range d.counts {
		if count.Day >= result.First && count.Day <= result.Last {
			delete(d.counts, key)
		}
	}
	for _, count := range result.Counts {
		d.counts[fmt.Sprint(count.Day, count.Content)] = count
	}
	for _, redone := range result.Redone {
		d.traces = slices.DeleteFunc(d.traces, func(tr seenTrace) bool {
			return tr.truck == redone.Truck && tr.day >= result.First && tr.day <= result.Last && tr.lastMS >= redone.FromMS &&
				tr.firstMS < redone.ToMS
		})
	}
	d.traces = append(d.traces, seen...)
	slices.SortFunc(d.traces, func(a, b seenTrace) int {
		return cmp.Or(cmp.Compare(a.truck, b.truck), cmp.Compare(a.lastMS, b.lastMS))
	})
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

// invent makes deliveries of two trucks over some days, with stops and jumps, cut at random or at midnight, some rows delivered twice, some
// corrected by a later file.
func invent(random *rand.Rand) []delivery {
	var all []delivery
	for truck := range 2 {
		name := fmt.Sprint("truck ", truck)
		ms, lat, total := firstMS+int64(random.IntN(dayMS)), 45.0, 0.0
		var rows []testRow
		stands := false
		for range 200 {
			gap := int64(60_000 + random.IntN(400_000))
			if random.IntN(40) == 0 {
				gap = int64(random.IntN(2 * dayMS))
			}
			if random.IntN(5) == 0 {
				stands = !stands
			}
			if ms, total = ms+gap, total+30; !stands {
				lat += 0.01 * random.Float64()
			}
			rows = append(rows, testRow{name, ms, lat, total})
			if random.IntN(5) == 0 {
				rows[len(rows)-1].lat += 0.1 // a jump
			}
		}
		for begin := 0; begin < len(rows); {
			end := min(begin+1+random.IntN(120), len(rows))
			if isNextDay := func(row testRow) bool { return DayOf(row.ms) > DayOf(rows[begin].ms) }; random.IntN(2) == 0 &&
				isNextDay(rows[end-1]) {
				end = begin + slices.IndexFunc(rows[begin:], isNextDay) // a file of a day
			}
			part := slices.Clone(rows[max(0, begin-random.IntN(3)):end])
			if random.IntN(3) == 0 {
				part[0].lat += 0.001
			}
			all = append(all, delivery{file: fmt.Sprintf("%d-%04d.csv", truck, begin), sha256: fmt.Sprintf("%x%04d", truck+10, begin),
				rows: part})
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
		whole := newDistrict(t, t.TempDir())
		whole.apply(t, deliveries, nil)
		parts := newDistrict(t, t.TempDir())
		shuffled := slices.Clone(deliveries)
		random.Shuffle(len(shuffled), func(i, k int) { shuffled[i], shuffled[k] = shuffled[k], shuffled[i] })
		wrong := delivery{file: deliveries[0].file, sha256: "wrong", rows: slices.Clone(deliveries[0].rows)}
		for i := range wrong.rows {
			wrong.rows[i].lat += 0.01
		}
		parts.apply(t, []delivery{wrong}, nil)
		isWrong := true
		for len(shuffled) > 0 {
			n := min(1+random.IntN(3), len(shuffled))
			var drop []string
			if random.IntN(4) == 0 && isWrong {
				drop, isWrong = []string{"wrong"}, false
			}
			parts.apply(t, shuffled[:n], drop)
			shuffled = shuffled[n:]
		}
		if isWrong {
			parts.apply(t, nil, []string{"wrong"})
		}
		parts.apply(t, deliveries[:1], nil) // once more, as after a crash
		assert.Equal(t, whole.traces, parts.traces, seed)
		assert.Equal(t, whole.counts, parts.counts, seed)
		assert.Equal(t, tree(t, whole.dir.Path), tree(t, parts.dir.Path), seed)
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

// A row that a later file contradicts comes back when that file goes.
func TestDroppedCorrection(t *testing.T) {
	d := newDistrict(t, t.TempDir())
	row := testRow{"t", firstMS + 1000, 45, 10}
	other := row
	other.total = 20
	d.apply(t, []delivery{{"a.csv", "aa", []testRow{row}}, {"b.csv", "bb", []testRow{other, other}}}, nil)
	day := DayOf(row.ms)
	texts := func() (texts []string) {
		for _, tr := range d.traces {
			texts = append(texts, tr.text)
		}
		return texts
	}
	assert.Equal(t, []string{"t 1 1702080001000:45:20:salt:bb:2"}, texts())
	assert.Equal(t, Count{day, "bb", 0, 1, 1}, d.counts[fmt.Sprint(day, "bb")])
	d.apply(t, nil, []string{"bb"})
	assert.Equal(t, []string{"t 1 1702080001000:45:10:salt:aa:2"}, texts())
	assert.Equal(t, map[string]Count{fmt.Sprint(day, "aa"): {day, "aa", 1, 0, 0}}, d.counts)
	d.apply(t, nil, []string{"aa"})
	assert.Empty(t, d.traces)
	assert.Empty(t, tree(t, d.dir.Path))
}

// drive is a truck that moves for some minutes, a point a minute.
func drive(truck string, beginMS, minutes int64) (rows []testRow) {
	for i := range minutes {
		rows = append(rows, testRow{truck, beginMS + 60_000*i, 45 + 0.01*float64(i), 0})
	}
	return rows
}

// Midnight cuts nothing: a trace lies in the file of the day it began.
func TestTraceOverMidnight(t *testing.T) {
	d := newDistrict(t, t.TempDir())
	d.apply(t, []delivery{{"a.csv", "aa", drive("t", firstMS+dayMS-600_000, 20)}}, nil)
	require.Len(t, d.traces, 1)
	assert.Equal(t, DayOf(firstMS), d.traces[0].day)
	files := tree(t, d.dir.Path)
	require.Len(t, files, 2, "with the list of digests")
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
	d := newDistrict(t, t.TempDir())
	d.apply(t, []delivery{{"a.csv", "aa", []testRow{{"t", firstMS, 45, 10}}}}, nil)
	path := d.dir.path(DayOf(firstMS).path())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, text[:len(text)/2], 0o644))
	store, err := Open(d.dir, NewNames(), trace.DefaultSettings())
	require.NoError(t, err)
	_, err = store.Apply(Change{Days: []Day{DayOf(firstMS)}}, func(Trace) func() error { return nil })
	assert.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "2023-12-09.parquet: damaged file")
}

// Of a day's file and of the list of digests any byte that changes is found, by name, and nothing is built on it, nor on a store
// without a list.
func TestFlippedBytes(t *testing.T) {
	d := newDistrict(t, t.TempDir())
	d.apply(t, []delivery{{"a.csv", "aa", drive("t", firstMS, 20)}}, nil)
	day := DayOf(firstMS)
	for _, name := range []string{day.path(), DigestsName} {
		whole, err := os.ReadFile(d.dir.path(name))
		require.NoError(t, err)
		require.Greater(t, len(whole), 100)
		for at := range whole {
			flipped := bytes.Clone(whole)
			flipped[at] ^= 1 << (at % 8)
			require.NoError(t, os.WriteFile(d.dir.path(name), flipped, 0o644))
			list, err := d.dir.Digests()
			if err == nil {
				list[DigestsName] = ""
				findings, err := disk.CompareFolder(d.dir.Path, list)
				require.NoError(t, err)
				require.Equal(t, []string{name + ": changed"}, findings, at)
			} else {
				require.ErrorIs(t, err, ErrDamaged)
				require.ErrorContains(t, err, name)
			}
			store, err := Open(d.dir, NewNames(), trace.DefaultSettings())
			require.NoError(t, err)
			_, err = store.Apply(Change{Days: []Day{day}}, func(Trace) func() error { return nil })
			require.ErrorIs(t, err, ErrDamaged, at)
		}
		require.NoError(t, os.WriteFile(d.dir.path(name), whole, 0o644))
	}
	list, err := d.dir.Digests()
	require.NoError(t, err)
	whole, err := os.ReadFile(d.dir.path(day.path()))
	require.NoError(t, err)
	assert.Equal(t, map[string]string{day.path(): fmt.Sprintf("%x", sha256.Sum256(whole))}, list)
	require.NoError(t, os.Remove(d.dir.path(DigestsName)))
	store, err := Open(d.dir, NewNames(), trace.DefaultSettings())
	require.NoError(t, err)
	_, err = store.Apply(Change{Days: []Day{day}}, func(Trace) func() error { return nil })
	require.ErrorIs(t, err, ErrDamaged)
}

// A change that is stopped at any of its file operations is whole or not there, and the same change afterwards gives what an undisturbed
// one gives. The change lets a trace move between the files of two days: it joins what midnight's gap kept apart.
func TestStoppedAnywhere(t *testing.T) {
	before := []delivery{{"a.csv", "aa", append(drive("t", firstMS+dayMS-3_000_000, 40), drive("t", firstMS+dayMS+300_000, 40)...)}}
	joining := []delivery{{"b.csv", "bb", drive("t", firstMS+dayMS-640_000, 14)}}
	undisturbed := newDistrict(t, t.TempDir())
	undisturbed.apply(t, before, nil)
	former := tree(t, undisturbed.dir.Path)
	require.Len(t, former, 3, "with the list of digests")
	undisturbed.apply(t, joining, nil)
	wanted := tree(t, undisturbed.dir.Path)
	require.Len(t, wanted, 2)
	for stop := 1; ; stop++ {
		d := newDistrict(t, t.TempDir())
		d.apply(t, before, nil)
		count := 0
		d.dir.Before = func(string, string) error {
			if count++; count >= stop {
				return io.ErrShortWrite
			}
			return nil
		}
		stopped := &collected{}
		d.apply(stopped, joining, nil)
		if len(stopped.faults) == 0 {
			require.Greater(t, stop, 10)
			break
		}
		d.dir.Before = nil
		_, err := Open(d.dir, NewNames(), trace.DefaultSettings())
		require.NoError(t, err)
		found := tree(t, d.dir.Path)
		require.True(t, maps.Equal(found, former) || maps.Equal(found, wanted), "%d %v %v", stop, slices.Sorted(maps.Keys(found)),
			stopped.faults)
		d.apply(t, joining, nil)
		require.Equal(t, wanted, tree(t, d.dir.Path), stop)
		require.Equal(t, undisturbed.counts, d.counts, stop)
		require.Equal(t, undisturbed.traces, d.traces, stop)
	}
}

// collected takes the place of a test whose failure is wanted.
type collected struct{ faults []string }

func (c *collected) Errorf(format string, args ...any) {
	c.faults = append(c.faults, fmt.Sprintf(format, args...))
}
func (c *collected) FailNow() {}

func BenchmarkApply(b *testing.B) {
	const trucks, points = 20, 8640
	names := NewNames()
	dir := Dir{Path: b.TempDir()}
	store, err := Open(dir, names, trace.DefaultSettings())
	require.NoError(b, err)
	for b.Loop() {
		arrivals := NewArrivals(dir, names)
		arrivals.Begin("aa")
		for truck := range trucks {
			for i := range int64(points) {
				require.NoError(b, arrivals.Add(Row{Point: trace.Point{AtMS: firstMS + i*10_000, Lat: 45 + 0.001*float64(i), Lon: -100,
					SpeedMPH: 30, TotalLb: float64(i), RateLbPerLaneMi: math.NaN(), Lanes: math.NaN()},
					Truck: names.Number(fmt.Sprint("t", truck)), Line: i}))
			}
		}
		change := Change{Days: arrivals.Days(), Arrivals: arrivals, Replaced: []string{"aa"}, Files: map[string]string{"aa": "a.csv"}}
		_, err := store.Apply(change, func(Trace) func() error { return nil })
		require.NoError(b, err)
	}
	b.ReportMetric(float64(b.N*trucks*points)/b.Elapsed().Seconds()/1e6, "Mpoints/s")
	info, err := os.Stat(dir.path(DayOf(firstMS).path()))
	require.NoError(b, err)
	b.ReportMetric(float64(info.Size())/(trucks*points), "bytes/point")
}
