package crumbs

import (
	"cmp"
	"slices"

	"lanetally/pipeline/trace"
)

type countKey struct {
	day     Day
	content int32
}

// rebuilding is one Apply on its way through the trucks.
type rebuilding struct {
	store  *Store
	take   func(Trace) error
	days   map[Day][]Row
	counts map[countKey]*Count
	kept   []trace.Point
	tells  []tell
}

// tell is what became of a row.
type tell uint8

const (
	accepted tell = iota
	duplicate
	correction
)

// truck works out the rows of one truck, sorted by time and order of delivery.
func (b *rebuilding) truck(rows []Row) (err error) {
	b.judge(rows)
	next := 0 // first row not in a trace yet
	splitter := trace.NewSplitter(b.store.settings, func(points []trace.Point) {
		day, last := DayOf(points[0].AtMS), points[len(points)-1].AtMS
		begin := next
		for next < len(rows) && rows[next].Point.AtMS <= last {
			b.count(day, &rows[next], b.tells[next])
			next++
		}
		b.days[day] = append(b.days[day], rows[begin:next]...)
		if err == nil {
			err = b.take(Trace{Truck: b.store.names.Text(rows[0].Truck), Day: day, Points: points})
		}
	})
	for _, point := range b.kept {
		splitter.Add(point)
	}
	splitter.Flush()
	return err
}

// judge fills kept with the points in force and tells with what became of each row: of rows with one time the first is accepted; a later one
// equal to the one in force is a duplicate, a different one a correction that takes effect.
func (b *rebuilding) judge(rows []Row) {
	b.kept, b.tells = b.kept[:0], b.tells[:0]
	for i := range rows {
		p := &rows[i].Point
		last := len(b.kept) - 1
		switch {
		case last < 0 || b.kept[last].AtMS != p.AtMS:
			b.kept = append(b.kept, *p)
			b.tells = append(b.tells, accepted)
		case b.kept[last].Same(p):
			b.tells = append(b.tells, duplicate)
		default:
			b.kept[last] = *p
			b.tells = append(b.tells, correction)
		}
	}
}

func (b *rebuilding) count(day Day, row *Row, told tell) {
	key := countKey{day, row.Content}
	count := b.counts[key]
	if count == nil {
		count = &Count{Day: day, Content: b.store.names.Text(row.Content)}
		b.counts[key] = count
	}
	switch told {
	case accepted:
		count.Accepted++
	case duplicate:
		count.Duplicates++
	case correction:
		count.Corrections++
	}
}

func (b *rebuilding) listCounts() []Count {
	list := make([]Count, 0, len(b.counts))
	for _, count := range b.counts {
		list = append(list, *count)
	}
	slices.SortFunc(list, func(a, b Count) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Content, b.Content)) })
	return list
}
