package crumbs

import (
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"

	"lanetally/pipeline/trace"
)

// ErrDamaged says that a file of the store does not hold what was written.
var ErrDamaged = errors.New("damaged file of positions; what was delivered gives it anew")

// Store is the positions of a district.
type Store struct {
	dir      Dir
	names    *Names
	settings trace.Settings
	digests  map[string]string
	checked  map[string]bool // days' files that were held against them
}

// Open opens the store in a folder and ends what a killed run had begun.
func Open(dir Dir, names *Names, settings trace.Settings) (*Store, error) {
	if err := dir.mend(); err != nil {
		return nil, err
	}
	return &Store{dir: dir, names: names, settings: settings, checked: map[string]bool{}}, nil
}

// Clear removes all positions.
func (s *Store) Clear() error {
	s.digests = nil
	clear(s.checked)
	return s.dir.clear()
}

// Days lists the days that have positions, in order.
func (s *Store) Days() ([]Day, error) { return s.dir.Days() }

// Change is what Apply does on Days, which are in order: rows that come on those days, and contents whose former rows on those days go.
// Moved are contents that now stand under another file. Files gives the file of each content: its order decides.
// IsAnew asks for all traces of Days, whether the change touches them or not.
type Change struct {
	Days     []Day
	Arrivals *Arrivals
	Replaced []string
	Moved    []string
	Files    map[string]string
	IsAnew   bool
}

// Count is what became of the rows of one content in the traces of one day: their sum is the number of rows.
type Count struct {
	Day         Day
	Content     string
	Accepted    int
	Duplicates  int
	Corrections int
}

// Origin is where a point in force came from.
type Origin struct {
	Content int32 // number of its name
	Line    int64
}

// Trace is a trace of a truck: the points in force, later each than the one before, and where each came from.
type Trace struct {
	Truck   string
	Day     Day
	Points  []trace.Point
	Origins []Origin
}

// Redone says that of a truck the traces which end at FromMS or later and begin before ToMS were built anew.
type Redone struct {
	Truck        string
	FromMS, ToMS int64
}

// Result is what Apply rebuilt. First to Last are the days it looked through; Redone holds for the traces of those, and Counts are all of
// them, also of days whose files stayed: a change that is made again after a run was killed finds the files written, and the caller's
// counts not.
type Result struct {
	First, Last Day
	Counts      []Count
	Redone      []Redone
}

// chunkDays is how many days one Apply takes: more cost memory, fewer cost time, since each Apply also looks through the days around its
// own.
const chunkDays = 16

// Chunks cuts days, in order, into parts for one Apply each.
func Chunks(days []Day) (chunks [][]Day) {
	for len(days) > 0 {
		n := 1
		for n < len(days) && days[n] < days[0]+chunkDays {
			n++
		}
		chunks = append(chunks, days[:n])
		days = days[n:]
	}
	return chunks
}

// reach is the days around those of a change whose traces it may touch: a trace that reaches into a day began at most MaxTraceMS before it,
// and a position late in a day may join the trace that began the day after.
const (
	daysBefore = Day((trace.MaxTraceMS + dayMS - 1) / dayMS)
	daysAfter  = Day(1)
)

// Apply makes a change and gives each trace that it touches to one of takes, which work in goroutines of their own; what they leave to be
// finished comes by truck and time. An error of it ends the work before a file changes.
func (s *Store) Apply(change Change, takes ...Take) (result Result, err error) {
	if len(change.Days) == 0 {
		return result, nil
	}
	b := s.newRebuilding(change, takes)
	defer func() { err = errors.Join(err, b.close(err != nil)) }()
	if err := b.open(); err != nil {
		return result, err
	}
	for {
		truck, isFound := b.nextTruck()
		if !isFound {
			break
		}
		if err := b.gather(truck); err != nil {
			return result, err
		}
		if err := b.truck(); err != nil {
			return result, err
		}
	}
	if err := b.taker.end(); err != nil {
		return result, err
	}
	if err := b.finish(); err != nil {
		return result, err
	}
	return b.result(), nil
}

// source walks rows that are ordered by truck; head is nil at its end.
type source interface {
	head() *Row
	step() error
	close() error
}

// nextTruck is the first truck, as text, that a source has rows of.
func (b *rebuilding) nextTruck() (truck int32, isFound bool) {
	for _, from := range b.sources {
		if row := from.head(); row != nil && (!isFound || row.Truck != truck && b.store.names.Text(row.Truck) < b.store.names.Text(truck)) {
			truck, isFound = row.Truck, true
		}
	}
	return truck, isFound
}

// gather collects the rows of a truck and finds the times between which its traces change.
func (b *rebuilding) gather(truck int32) error {
	b.rows = b.rows[:0]
	firstMS, lastChangeMS := int64(math.MaxInt64), int64(math.MinInt64)
	for i, from := range b.sources {
		lastMS := int64(math.MinInt64)
		for row := from.head(); row != nil && row.Truck == truck; row = from.head() {
			atMS, isComing := row.Point.AtMS, i >= len(b.files)
			lastMS = atMS
			goes := !isComing && b.replaced[row.Content] && b.isOwn(DayOf(atMS))
			if isComing || goes || b.moved[row.Content] {
				firstMS, lastChangeMS = min(firstMS, atMS), max(lastChangeMS, atMS)
			}
			if !goes {
				b.rows = append(b.rows, *row)
			}
			if err := from.step(); err != nil {
				return err
			}
		}
		if i < len(b.files) {
			b.files[i].lastMS = lastMS
		}
	}
	if b.fromMS = firstMS; firstMS == math.MaxInt64 {
		return nil
	}
	if !b.isSorted() {
		slices.SortFunc(b.rows, func(p, q Row) int { return b.compare(&p, &q) })
	}
	gapMS := b.store.settings.PassGapMS()
	b.fromMS, b.toMS = b.evidenceBefore(firstMS, gapMS), b.silenceAfter(lastChangeMS, gapMS)
	b.redone = append(b.redone, Redone{b.store.names.Text(truck), b.fromMS, b.toMS})
	for _, file := range b.files {
		if file.lastMS >= b.fromMS {
			if err := file.startWriting(); err != nil {
				return err
			}
		}
	}
	return nil
}

// evidenceBefore is the time from which traces may end otherwise when something changes at a time: a trace that ends at a stop ends with
// the point before the stop's last, and two points elsewhere tell that it does. So three points count, up to a silence, which ends a trace
// by itself.
func (b *rebuilding) evidenceBefore(changeMS, gapMS int64) int64 {
	atMS, points := changeMS, 0
	for i := len(b.rows) - 1; i >= 0 && points < trace.EvidencePoints; i-- {
		beforeMS := b.rows[i].Point.AtMS
		if beforeMS >= atMS {
			continue
		}
		if atMS-beforeMS > gapMS {
			break
		}
		atMS = beforeMS
		points++
	}
	return atMS
}

// silenceAfter is the time of the first row after the last change that a silence cuts off from it: whatever changed, a trace begins there,
// as one did before. Without one it is after everything.
func (b *rebuilding) silenceAfter(changedMS, gapMS int64) int64 {
	beforeMS := changedMS
	for i := range b.rows {
		atMS := b.rows[i].Point.AtMS
		if atMS-beforeMS > gapMS {
			return atMS
		}
		beforeMS = max(beforeMS, atMS)
	}
	return beforeMS + 1
}

func (b *rebuilding) isOwn(day Day) bool {
	_, found := slices.BinarySearch(b.change.Days, day)
	return found
}

// finish writes what is left and makes the change good.
func (b *rebuilding) finish() error {
	for _, file := range b.files { // all, so that the last rows of one are encoded while another is made durable
		if file.writer != nil {
			file.writer.end()
		}
	}
	var changes fileChanges
	list := b.store.digests
	for _, file := range b.files { // an error leaves close to discard the files
		if file.writer == nil {
			continue
		}
		isEmpty := file.writer.rows == 0
		if err := file.endWriting(); err != nil {
			return fmt.Errorf("%s: %w", file.day.path(), err)
		}
		if name := file.day.path(); isEmpty {
			changes.Gone = append(changes.Gone, name)
			delete(list, name)
		} else {
			changes.New = append(changes.New, name)
			list[name] = hex.EncodeToString(file.writer.digest.Sum(nil))
			b.store.checked[name] = true
		}
	}
	for _, file := range b.files {
		file.writer = nil // from here on the files are the change's
	}
	return b.store.dir.commit(changes, list)
}
