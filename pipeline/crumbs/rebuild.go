package crumbs

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"lanetally/pipeline/trace"
)

type countKey struct {
	day     Day
	content int32
}

// rebuilding is one Apply on its way through the trucks.
type rebuilding struct {
	store    *Store
	encoder  *encoder
	change   Change
	taker    *taker
	replaced map[int32]bool
	moved    map[int32]bool
	ranks    map[int32]string

	first, last Day
	files       []*dayFile // one a day, from first to last
	sources     []source   // those files, then the rows that come

	rows    []Row // of one truck
	fromMS  int64 // traces of the truck that end before it are as they were,
	toMS    int64 // and so are those that begin at it or later
	kept    []trace.Point
	origins []Origin
	tells   []tell

	counts   map[countKey]*Count
	counted  *Count // the one that the latest row went into, and its key
	countKey countKey
	redone   []Redone
}

// tell is what became of a row.
type tell uint8

const (
	accepted tell = iota
	duplicate
	correction
)

func (s *Store) newRebuilding(change Change, takes []Take) *rebuilding {
	b := &rebuilding{store: s, encoder: newEncoder(s.names), change: change, taker: newTaker(takes), replaced: map[int32]bool{},
		moved: map[int32]bool{}, ranks: map[int32]string{}, counts: map[countKey]*Count{}}
	b.first, b.last = change.Days[0]-daysBefore, change.Days[len(change.Days)-1]+daysAfter
	for _, content := range change.Replaced {
		b.replaced[s.names.Number(content)] = true
	}
	for _, content := range change.Moved {
		b.moved[s.names.Number(content)] = true
	}
	return b
}

func (b *rebuilding) open() error {
	b.passUntouched()
	for day := b.first; day <= b.last; day++ {
		file := &dayFile{store: b.store, encoder: b.encoder, day: day}
		b.files = append(b.files, file)
		b.sources = append(b.sources, file)
		if err := file.open(); err != nil {
			return err
		}
	}
	for _, part := range runsOf(b.change.Days) {
		coming, err := b.change.Arrivals.open(part[0], part[1])
		if err != nil {
			return err
		}
		b.sources = append(b.sources, coming...)
	}
	return nil
}

// passUntouched leaves out the files of days before the change that hold no trace which it touches: those that end a silence before the
// first day of the change; and, where nothing changes but that rows come, those that end before all that the first of them may be evidence
// for.
func (b *rebuilding) passUntouched() {
	c, gapMS := &b.change, b.store.settings.PassGapMS()
	goes := slices.Concat(c.Replaced, c.Moved)
	firstMS, onlyComes := c.Arrivals.first(c.Days[0])
	onlyComes = onlyComes && !c.IsAnew
	var ends []dayEnd
	for day := b.first; day <= b.last; day++ {
		end := b.store.endOf(day)
		ends = append(ends, end)
		onlyComes = onlyComes && !slices.ContainsFunc(goes, end.mayHave)
	}
	for _, end := range ends[:c.Days[0]-b.first] {
		if end.lastMS >= int64(c.Days[0])*dayMS-gapMS && !(onlyComes && end.lastMS < firstMS-trace.EvidencePoints*gapMS) {
			return
		}
		b.first++
	}
}

// runsOf gives the first and the last of days that follow each other without a gap.
func runsOf(days []Day) (runs [][2]Day) {
	for _, day := range days {
		if n := len(runs); n > 0 && runs[n-1][1]+1 == day {
			runs[n-1][1] = day
		} else {
			runs = append(runs, [2]Day{day, day})
		}
	}
	return runs
}

func (b *rebuilding) close(isFailed bool) error {
	var faults []error
	for _, from := range b.sources {
		faults = append(faults, from.close())
	}
	for _, file := range b.files {
		if isFailed && file.writer != nil {
			faults = append(faults, file.writer.discard())
		}
	}
	_ = b.taker.end() // its fault has been told
	b.encoder.close()
	return errors.Join(faults...)
}

// compare orders the rows of one truck by time and order of delivery.
func (b *rebuilding) compare(p, q *Row) int {
	if p.Point.AtMS != q.Point.AtMS {
		return cmp.Compare(p.Point.AtMS, q.Point.AtMS)
	}
	if p.Content != q.Content {
		return cmp.Compare(b.rank(p.Content), b.rank(q.Content))
	}
	return cmp.Compare(p.Line, q.Line)
}

// isSorted: the rows are in order, as those of a file and of a delivery mostly are.
func (b *rebuilding) isSorted() bool {
	for i := 1; i < len(b.rows); i++ {
		if b.compare(&b.rows[i-1], &b.rows[i]) > 0 {
			return false
		}
	}
	return true
}

// rank is the order of a content: that of its file, else, for one without, after all others by its hash.
func (b *rebuilding) rank(content int32) string {
	rank, known := b.ranks[content]
	if !known {
		text := b.store.names.Text(content)
		if rank, known = b.change.Files[text]; !known {
			rank = "\xff" + text
		}
		b.ranks[content] = rank
	}
	return rank
}

// truck works out the rows of one truck.
func (b *rebuilding) truck() (err error) {
	if len(b.rows) == 0 {
		return nil
	}
	b.judge()
	nextRow, nextPoint := 0, 0 // the first that is in no trace yet
	splitter := trace.NewSplitter(b.store.settings, func(points []trace.Point) {
		if err != nil {
			return
		}
		lastMS := points[len(points)-1].AtMS
		begin := nextRow
		for nextRow < len(b.rows) && b.rows[nextRow].Point.AtMS <= lastMS {
			nextRow++
		}
		tr := Trace{Truck: b.store.names.Text(b.rows[0].Truck), Day: DayOf(points[0].AtMS), Points: points,
			Origins: b.origins[nextPoint : nextPoint+len(points)]}
		nextPoint += len(points)
		err = b.place(tr, b.rows[begin:nextRow], b.tells[begin:nextRow], lastMS >= b.fromMS && points[0].AtMS < b.toMS)
	})
	for _, point := range b.kept {
		splitter.Add(point)
	}
	splitter.Flush()
	return err
}

// place puts the rows of a trace into the file of its day and hands the trace on where it was built anew.
func (b *rebuilding) place(tr Trace, rows []Row, tells []tell, isChanged bool) error {
	if tr.Day < b.first || tr.Day > b.last {
		return fmt.Errorf("a trace of %s falls outside the days that were looked through", tr.Truck)
	}
	file := b.files[tr.Day-b.first]
	if isChanged {
		if err := file.startWriting(); err != nil {
			return err
		}
	}
	for i := range rows {
		b.count(tr.Day, rows[i].Content, tells[i])
	}
	if err := file.add(rows); err != nil {
		return err
	}
	if isChanged || b.change.IsAnew && b.isOwn(tr.Day) {
		return b.taker.give(tr)
	}
	return nil
}

// judge fills kept with the points in force and tells with what became of each row: of rows with one time the first is accepted; a later
// one equal to the one in force is a duplicate, a different one a correction that takes effect.
func (b *rebuilding) judge() {
	b.kept, b.origins, b.tells = b.kept[:0], b.origins[:0], b.tells[:0]
	for i := range b.rows {
		row := &b.rows[i]
		p, last := &row.Point, len(b.kept)-1
		switch {
		case last < 0 || b.kept[last].AtMS != p.AtMS:
			b.kept = append(b.kept, *p)
			b.origins = append(b.origins, Origin{row.Content, row.Line})
			b.tells = append(b.tells, accepted)
		case b.kept[last].Same(p):
			b.tells = append(b.tells, duplicate)
		default:
			b.kept[last], b.origins[last] = *p, Origin{row.Content, row.Line}
			b.tells = append(b.tells, correction)
		}
	}
}

func (b *rebuilding) count(day Day, content int32, told tell) {
	if key := (countKey{day, content}); b.counted == nil || key != b.countKey {
		if b.counted = b.counts[key]; b.counted == nil {
			b.counted = &Count{Day: day, Content: b.store.names.Text(content)}
			b.counts[key] = b.counted
		}
		b.countKey = key
	}
	switch told {
	case accepted:
		b.counted.Accepted++
	case duplicate:
		b.counted.Duplicates++
	case correction:
		b.counted.Corrections++
	}
}

func (b *rebuilding) result() Result {
	result := Result{First: b.first, Last: b.last, Redone: b.redone}
	for _, count := range b.counts {
		result.Counts = append(result.Counts, *count)
	}
	slices.SortFunc(result.Counts, func(a, b Count) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Content, b.Content)) })
	return result
}
