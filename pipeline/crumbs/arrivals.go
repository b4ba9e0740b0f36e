package crumbs

import (
	"cmp"
	"errors"
	"fmt"
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
	buffer   []Row
	readings []int32 // content of each reading, void: -1
	runs     []arrivalRun
	days     map[Day]bool
	lastDay  Day
	count    int64
}

// arrivalRun is a spill, or the buffer: rows by day and truck; within a truck as they came.
type arrivalRun struct {
	file *os.File
	rows []Row // of the buffer
	days []daySpan
}

// daySpan is the rows of a day in a run, and their place in its file.
type daySpan struct {
	day         Day
	first, rows int
	at, bytes   int64
}

// spillRows is the number of rows that are kept in memory.
const spillRows = 1 << 20

// manyRows is from when on room for spillRows is made.
const manyRows = 1 << 16

// NewArrivals collects nothing yet.
func NewArrivals(dir Dir, names *Names) *Arrivals {
	return &Arrivals{dir: dir, names: names, limit: spillRows, days: map[Day]bool{}}
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
	if day := DayOf(row.Point.AtMS); day != a.lastDay {
		a.days[day], a.lastDay = true, day
	}
	if len(a.buffer) == cap(a.buffer) && len(a.buffer) >= manyRows {
		a.buffer = slices.Grow(a.buffer, a.limit-len(a.buffer)) // a large delivery: at once, not by and by
	}
	a.buffer = append(a.buffer, row)
	a.count++
	if len(a.buffer) >= a.limit {
		return a.spill()
	}
	return nil
}

// Days lists the days on which rows came, in order.
func (a *Arrivals) Days() []Day {
	days := make([]Day, 0, len(a.days))
	for day := range a.days {
		days = append(days, day)
	}
	slices.Sort(days)
	return days
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
	of := make([]int32, len(a.buffer))
	last, lastPlace := group{truck: -1}, 0
	for i := range a.buffer {
		key := group{DayOf(a.buffer[i].Point.AtMS), a.buffer[i].Truck}
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
	order = make([]int32, len(a.buffer))
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
			row := &a.buffer[k]
			record = appendRow(record[:0], row, before)
			if _, err := out.Write(record); err != nil {
				return errors.Join(err, out.discard())
			}
			at += int64(len(record))
			before = row
		}
		span.bytes = at - span.at
	}
	if err := out.Flush(); err != nil {
		return errors.Join(err, out.discard())
	}
	a.runs = append(a.runs, arrivalRun{file: out.file, days: spans})
	a.buffer = a.buffer[:0]
	return nil
}

// settle orders what is left in the buffer.
func (a *Arrivals) settle() {
	if len(a.buffer) == 0 {
		return
	}
	order, spans := a.grouped()
	rows := make([]Row, len(order))
	for i, from := range order {
		rows[i] = a.buffer[from]
	}
	a.runs = append(a.runs, arrivalRun{rows: rows, days: spans})
	a.buffer = nil
}

// Close removes the spills.
func (a *Arrivals) Close() error {
	var faults []error
	for _, run := range a.runs {
		if run.file != nil {
			faults = append(faults, run.file.Close(), os.Remove(run.file.Name()))
		}
	}
	a.runs, a.buffer = nil, nil
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
			s.row = s.run.rows[s.next]
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
