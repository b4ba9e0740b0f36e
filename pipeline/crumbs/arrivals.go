package crumbs

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
)

// Arrivals collects rows that come, in the order in which they are read, and gives them back by day and truck. Beyond limit rows they spill
// to files in the folder, which Close removes.
type Arrivals struct {
	dir      Dir
	names    *Names
	limit    int
	buffer   rowBuffer
	readings []int32 // content of each reading, void: -1
	runs     []arrivalRun
	days     map[Day]int64 // the earliest time of a row on each
	lastDay  Day
	firstMS  int64 // the earliest on lastDay
	count    int64

	isSettled bool // the buffer is the last run
}

// rowBuffer holds rows in blocks, so that growing moves none.
type rowBuffer struct {
	blocks []*[blockRows]Row
	rows   int
}

const blockRows = 1 << 13

func (b *rowBuffer) at(i int) *Row { return &b.blocks[i/blockRows][i%blockRows] }

func (b *rowBuffer) add(row *Row) {
	if b.rows == len(b.blocks)*blockRows {
		b.blocks = append(b.blocks, new([blockRows]Row))
	}
	*b.at(b.rows) = *row
	b.rows++
}

// trim lets go of the blocks without rows.
func (b *rowBuffer) trim() {
	b.blocks = slices.Clone(b.blocks[:(b.rows+blockRows-1)/blockRows])
}

// arrivalRun is a spill, or, with its order, the buffer: rows by day and truck; within a truck as they came.
type arrivalRun struct {
	file  *os.File
	order []int32
	days  []daySpan
}

// daySpan is the rows of a day in a run, and their place in its file.
type daySpan struct {
	day         Day
	first, rows int
	at, bytes   int64
}

// spillRows is the number of rows that are kept in memory.
const spillRows = 1 << 18

// NewArrivals collects nothing yet.
func NewArrivals(dir Dir, names *Names) *Arrivals {
	return &Arrivals{dir: dir, names: names, limit: spillRows, days: map[Day]int64{}}
}

// Begin starts the reading of a content; the rows added from now on are of it.
func (a *Arrivals) Begin(content string) {
	a.readings = append(a.readings, a.names.Number(content))
	a.lastDay = math.MinInt32
}

// Void takes back the rows since Begin.
func (a *Arrivals) Void() { a.readings[len(a.readings)-1] = -1 }

// Add adds a row of the content that Begin named: Content is set here.
func (a *Arrivals) Add(row Row) error {
	row.Content = int32(len(a.readings) - 1)
	atMS := row.Point.AtMS
	if day := DayOf(atMS); day != a.lastDay {
		firstMS, isKnown := a.days[day]
		if !isKnown {
			firstMS = math.MaxInt64
		}
		a.lastDay, a.firstMS = day, firstMS
	}
	if atMS < a.firstMS {
		a.firstMS, a.days[a.lastDay] = atMS, atMS
	}
	a.buffer.add(&row)
	a.count++
	if a.buffer.rows >= a.limit {
		return a.spill()
	}
	return nil
}

// Days lists the days on which rows came, in order.
func (a *Arrivals) Days() []Day { return slices.Sorted(maps.Keys(a.days)) }

// first is the earliest time of a row on a day, if one came.
func (a *Arrivals) first(day Day) (ms int64, comes bool) {
	if a != nil {
		ms, comes = a.days[day]
	}
	return ms, comes
}

// Rows is the number of rows that came.
func (a *Arrivals) Rows() int64 { return a.count }

// grouped orders the buffer by day and truck, without touching the order within: a count of each group, then a place for each row.
func (a *Arrivals) grouped() (order []int32, spans []daySpan) {
	type group struct {
		day   Day
		truck int32
	}
	places := map[group]int{}
	var groups []group
	var sizes []int
	of := make([]int32, a.buffer.rows)
	last, lastPlace := group{truck: -1}, 0
	for i := range of {
		row := a.buffer.at(i)
		key := group{DayOf(row.Point.AtMS), row.Truck}
		if key != last {
			place, known := places[key]
			if !known {
				place = len(groups)
				places[key] = place
				groups, sizes = append(groups, key), append(sizes, 0)
			}
			last, lastPlace = key, place
		}
		of[i] = int32(lastPlace)
		sizes[lastPlace]++
	}
	sorted := make([]int, len(groups))
	for i := range sorted {
		sorted[i] = i
	}
	slices.SortFunc(sorted, func(i, k int) int {
		return cmp.Or(cmp.Compare(groups[i].day, groups[k].day), cmp.Compare(a.names.Text(groups[i].truck), a.names.Text(groups[k].truck)))
	})
	next, begins := 0, make([]int, len(groups))
	for _, place := range sorted {
		begins[place] = next
		if len(spans) == 0 || spans[len(spans)-1].day != groups[place].day {
			spans = append(spans, daySpan{day: groups[place].day, first: next})
		}
		spans[len(spans)-1].rows += sizes[place]
		next += sizes[place]
	}
	order = make([]int32, len(of))
	for i, place := range of {
		order[begins[place]] = int32(i)
		begins[place]++
	}
	return order, spans
}

func (a *Arrivals) spill() (err error) {
	out, err := a.dir.create(fmt.Sprintf("arriving-%d", len(a.runs)))
	if err != nil {
		return err
	}
	order, spans := a.grouped()
	record, at := make([]byte, 0, rowBytes), int64(0)
	for i := range spans {
		span, before := &spans[i], &Row{}
		span.at = at
		for _, k := range order[span.first : span.first+span.rows] {
			row := a.buffer.at(int(k))
			record = appendRow(record[:0], row, before)
			if _, err := out.Write(record); err != nil {
				return errors.Join(err, out.discard())
			}
			at += int64(len(record))
			before = row
		}
		span.bytes = at - span.at
	}
	if err := out.buffer.Flush(); err != nil {
		return errors.Join(err, out.discard())
	}
	a.runs = append(a.runs, arrivalRun{file: out.File, days: spans})
	a.buffer.rows = 0
	return nil
}

// settle orders what is left in the buffer.
func (a *Arrivals) settle() {
	if a.buffer.rows == 0 || a.isSettled {
		return
	}
	a.buffer.trim()
	order, spans := a.grouped()
	a.runs = append(a.runs, arrivalRun{order: order, days: spans})
	a.isSettled = true
}

// Close removes the spills.
func (a *Arrivals) Close() error {
	var faults []error
	for _, run := range a.runs {
		if run.file != nil {
			faults = append(faults, run.file.Close(), os.Remove(run.file.Name()))
		}
	}
	a.runs, a.buffer = nil, rowBuffer{}
	return errors.Join(faults...)
}

// open gives a source for each run and day of a span of days.
func (a *Arrivals) open(from, to Day) (sources []source, err error) {
	if a == nil {
		return nil, nil
	}
	a.settle()
	for i := range a.runs {
		for _, span := range a.runs[i].days {
			if span.day < from || span.day > to {
				continue
			}
			s := &arrivalSource{arrivals: a, run: &a.runs[i], next: span.first, end: span.first + span.rows}
			if s.run.file != nil {
				s.spill = newSpillReader(s.run.file, span)
			}
			if err := s.step(); err != nil {
				return nil, err
			}
			sources = append(sources, s)
		}
	}
	return sources, nil
}

// arrivalSource walks one day of a run.
type arrivalSource struct {
	arrivals  *Arrivals
	run       *arrivalRun
	next, end int
	spill     *spillReader // nil of the buffer
	row       Row
	isAtEnd   bool
}

func (s *arrivalSource) head() *Row {
	if s.isAtEnd {
		return nil
	}
	return &s.row
}

// step reads the next row that is not void.
func (s *arrivalSource) step() error {
	for s.next < s.end {
		if s.spill == nil {
			s.row = *s.arrivals.buffer.at(int(s.run.order[s.next]))
		} else if err := s.spill.next(); err != nil {
			return err
		} else {
			s.row = s.spill.row
		}
		s.next++
		if content := s.arrivals.readings[s.row.Content]; content >= 0 {
			s.row.Content = content
			return nil
		}
	}
	s.isAtEnd = true
	return nil
}

func (s *arrivalSource) close() error { return nil }
