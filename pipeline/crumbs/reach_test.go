package crumbs

import (
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/trace"
)

// By hand, a position every 599 s: three stand, one lies elsewhere, and so does the next: the truck left, and its trace ended before the
// third. A correction says that it stood again: then the fourth was a jump, and all is one trace, which ended 1,797 s before what changed.
// So it is where midnight falls after the third, of the day before.
func TestCorrectionThatUndoesADeparture(t *testing.T) {
	for _, beginMS := range []int64{firstMS, firstMS + dayMS - 1_500_000} {
		d, whole := newDistrict(t, t.TempDir()), newDistrict(t, t.TempDir())
		at := func(i int64, lat float64) testRow { return testRow{"t", beginMS + 599_000*i, lat, 0} }
		left := delivery{"a.csv", "aa", []testRow{at(0, 45), at(1, 45), at(2, 45), at(3, 45), at(4, 45.1), at(5, 45.2)}}
		corrected := delivery{"b.csv", "bb", []testRow{at(5, 45)}}
		d.apply(t, []delivery{left}, nil)
		require.Len(t, d.traces, 2)
		assert.Equal(t, beginMS+2*599_000, d.traces[0].lastMS)
		d.apply(t, []delivery{corrected}, nil)
		whole.apply(t, []delivery{left, corrected}, nil)
		require.Len(t, whole.traces, 1)
		assert.Equal(t, whole.traces, d.traces)
		assert.Equal(t, tree(t, whole.dir.Path), tree(t, d.dir.Path))
	}
}

// By hand: each truck drives at 01:00, 02:00 and 03:00. A late point of u at 02:20, 1 minute after that drive's last, builds u's second
// drive anew and nothing else; a file that only touches the day after does not write this day's file.
func TestLateFileBuildsOnlyWhatItTouches(t *testing.T) {
	d := newDistrict(t, t.TempDir())
	var rows []testRow
	for _, truck := range []string{"t", "u"} {
		for hour := range int64(3) {
			rows = append(rows, drive(truck, firstMS+(1+hour)*3_600_000, 20)...)
		}
	}
	d.apply(t, []delivery{{"a.csv", "aa", rows}}, nil)
	assert.Equal(t, 6, d.built)
	d.apply(t, []delivery{{"late.csv", "bb", []testRow{{"u", firstMS + 2*3_600_000 + 20*60_000, 46, 0}}}}, nil)
	assert.Equal(t, 1, d.built)
	assert.Len(t, d.traces, 6)
	path := d.dir.path(DayOf(firstMS).path())
	before, err := os.Stat(path)
	require.NoError(t, err)
	d.apply(t, []delivery{{"next.csv", "cc", drive("u", firstMS+dayMS+3_600_000, 20)}}, nil)
	assert.Equal(t, 1, d.built)
	after, err := os.Stat(path)
	require.NoError(t, err)
	assert.True(t, os.SameFile(before, after))
}

// By hand: a drive of day 0 ends at 00:19 of day 1 (20 points from 00:00). A change on day 1 must look at day 0's file, whose trace it may
// touch; one on day 2 looks from day 2 on, since 00:19 is over 10 min before; so does one on day 1 where only rows after 00:49 come. The
// last second before that silence counts, and a file that is not there ends before everything.
func TestFilesThatEndBeforeTheChange(t *testing.T) {
	d := newDistrict(t, t.TempDir())
	d.apply(t, []delivery{{"a.csv", "aa", drive("t", firstMS+dayMS-300_000, 25)}}, nil)
	store, err := Open(d.dir, NewNames(), trace.DefaultSettings())
	require.NoError(t, err)
	day, lastMS := DayOf(firstMS), firstMS+dayMS+19*60_000
	assert.Equal(t, dayEnd{lastMS, map[string]bool{"aa": true}}, store.endOf(day))
	assert.Equal(t, dayEnd{math.MinInt64, map[string]bool{}}, store.endOf(day+1))
	for changed, want := range map[Day]Day{day + 1: day, day + 2: day + 2} {
		result, err := store.Apply(Change{Days: []Day{changed}, Arrivals: NewArrivals(d.dir, store.names)},
			func(Trace) func() error { return nil })
		require.NoError(t, err)
		assert.Equal(t, want, result.First)
	}
	first := func(firstMS int64, change Change) Day {
		arrivals := NewArrivals(d.dir, store.names)
		arrivals.Begin("bb")
		for _, ms := range []int64{firstMS + 60_000, firstMS, firstMS + 120_000} {
			require.NoError(t, arrivals.Add(Row{Point: trace.Point{AtMS: ms}, Truck: store.names.Number("u")}))
		}
		change.Days, change.Arrivals = arrivals.Days(), arrivals
		b := store.newRebuilding(change, nil)
		require.NoError(t, b.open())
		require.NoError(t, b.close(true))
		return b.first
	}
	const farMS = 3 * 600_000
	assert.Equal(t, day, first(lastMS+farMS, Change{}),
		"rows that come 30 min after the last: with two between, 10 min apart, they may tell that its truck left")
	assert.Equal(t, day+1, first(lastMS+farMS+1, Change{}), "and a moment later")
	assert.Equal(t, day+1, first(lastMS+farMS+1, Change{Replaced: []string{"bb"}, Moved: []string{"cc"}}), "no former row is in the file")
	assert.Equal(t, day, first(lastMS+farMS+1, Change{Replaced: []string{"bb", "aa"}}), "former rows go")
	assert.Equal(t, day, first(lastMS+farMS+1, Change{Moved: []string{"aa"}}), "or change their order")
	assert.Equal(t, day, first(lastMS+farMS+1, Change{IsAnew: true}), "all traces are asked for")
	require.NoError(t, os.WriteFile(d.dir.path(day.path()), []byte("PAR1 and nothing else"), 0o644))
	assert.Equal(t, dayEnd{math.MaxInt64, nil}, store.endOf(day), "the reading says that it is damaged")
}

// A file is delivered again from 01:00 on: its drive over midnight, which began with the rows of another file, ends at 23:59 then, in the
// file of the day before.
func TestRowsThatGoFromTheFileOfTheDayBefore(t *testing.T) {
	d, want := newDistrict(t, t.TempDir()), newDistrict(t, t.TempDir())
	evening := delivery{"a.csv", "aa", drive("t", firstMS+dayMS-300_000, 5)}
	early := delivery{"b.csv", "bb", drive("t", firstMS+dayMS, 20)}
	late := delivery{"b.csv", "cc", drive("t", firstMS+dayMS+3_600_000, 20)}
	d.apply(t, []delivery{evening, early}, nil)
	require.Len(t, d.traces, 1)
	d.apply(t, []delivery{late}, []string{"bb"})
	want.apply(t, []delivery{evening, late}, nil)
	require.Len(t, want.traces, 2)
	assert.Equal(t, want.traces, d.traces)
	assert.Equal(t, want.counts, d.counts)
	assert.Equal(t, tree(t, want.dir.Path), tree(t, d.dir.Path))
}

// By hand, a position every 599 s, the first three before midnight: four stand and two of another file lie elsewhere, so that the trace
// ends before the fourth, which lies in the next day's file with them. They go in the night that brings a drive at 04:00: then all four are
// one trace of the day before.
func TestDepartureThatGoesFromTheNextDay(t *testing.T) {
	at := func(i int64, lat float64) testRow {
		return testRow{"t", firstMS + dayMS - 1_500_000 + 599_000*i, lat, 0}
	}
	stood := delivery{"a.csv", "aa", []testRow{at(0, 45), at(1, 45), at(2, 45), at(3, 45)}}
	left := delivery{"b.csv", "bb", []testRow{at(4, 45.1), at(5, 45.2)}}
	late := delivery{"b.csv", "cc", drive("t", firstMS+dayMS+4*3_600_000, 20)}
	d, want := newDistrict(t, t.TempDir()), newDistrict(t, t.TempDir())
	d.apply(t, []delivery{stood, left}, nil)
	require.Len(t, d.traces, 2)
	require.Equal(t, DayOf(firstMS), DayOf(d.traces[0].lastMS))
	require.Equal(t, DayOf(firstMS)+1, d.traces[1].day)
	d.apply(t, []delivery{late}, []string{"bb"})
	want.apply(t, []delivery{stood, late}, nil)
	require.Equal(t, DayOf(firstMS), want.traces[0].day)
	assert.Equal(t, want.traces, d.traces)
	assert.Equal(t, want.counts, d.counts)
	assert.Equal(t, tree(t, want.dir.Path), tree(t, d.dir.Path))
}
