package site

import (
	"cmp"
	"strconv"
	"strings"
	"time"
)

// key is what a cell sorts by: a number as scripts read it, an instant or a date as text in its order; "" leaves it to the
// cell's text, and a column of numbers puts a text that is none last.
type key string

// numberKey is the number as the cell shows it, rounded alike; "" without one.
func numberKey(x *float64, decimals int) key {
	rounded, found := roundedTo(x, decimals)
	if !found {
		return ""
	}
	return key(strconv.FormatFloat(rounded, 'f', decimals, 64))
}

// momentKey is an instant by the district's clock, to the minute.
func (c clock) momentKey(t *time.Time) key {
	if t == nil {
		return ""
	}
	return key(t.In(c.zone).Format("2006-01-02 15:04"))
}

// dateKey is a calendar date.
func dateKey(t *time.Time) key {
	if t == nil {
		return ""
	}
	return key(t.UTC().Format(time.DateOnly))
}

// beside is the key where the text that it stands beside does not say it by itself.
func (k key) beside(text string) key {
	if string(k) == strings.TrimPrefix(text, "+") {
		return ""
	}
	return k
}

// Numbers without a unit that the pages convert.
var (
	ones       = measure{1, 0, 0, 0}
	tenths     = measure{1, 0, 1, 1} // hours too
	hundredths = measure{1, 0, 2, 2} // ratios and applications, to a hundredth
)

// cells is a column of cells that lead somewhere or carry a mark.
func cells[T any](head string, cell func(T) Cell) Column[T] {
	return Column[T]{Heading: Heading{Head: head}, Cell: cell}
}

// words is a column of words.
func words[T any](head string, get func(T) string) Column[T] {
	return cells(head, func(row T) Cell { return Cell{Text: get(row)} })
}

// prose is a column of longer texts.
func prose[T any](head string, get func(T) string) Column[T] { return words(head, get).asProse() }

// flushRight is a column of words set as numbers are.
func flushRight[T any](head, unit string, get func(T) string) Column[T] {
	return words(head, get).asNumber(unit)
}

// numbers is a column of numbers with their unit.
func numbers[T any](b *book, head, unit string, m measure, get func(T) *float64) Column[T] {
	c := flushRight(head, unit, func(row T) string { return b.write(m, get(row)) })
	c.Sort = func(row T) key { return numberKey(b.valueOf(m, get(row)), b.decimals(m)) }
	return c
}

// signedNumbers is numbers with a sign on either side of 0.
func signedNumbers[T any](b *book, head, unit string, m measure, get func(T) *float64) Column[T] {
	return numbers(b, head, unit, m, get).showing(func(row T) string { return b.signed(m, get(row)) })
}

// shares is a column of shares between 0 and 1, as whole percent.
func shares[T any](b *book, head, unit string, get func(T) *float64) Column[T] {
	return numbers(b, head, unit, ones, func(row T) *float64 { return hundredfold(get(row)) })
}

// counts is a column of whole numbers that may be missing.
func counts[T any](head, unit string, get func(T) *int64) Column[T] {
	c := flushRight(head, unit, func(row T) string { return count(get(row)) })
	c.Sort = func(row T) key {
		if n := get(row); n != nil {
			return key(strconv.FormatInt(*n, 10))
		}
		return ""
	}
	return c
}

// wholes is a column of whole numbers.
func wholes[T any, N int | int64](head, unit string, get func(T) N) Column[T] {
	return counts(head, unit, func(row T) *int64 { n := int64(get(row)); return &n })
}

// moments is a column of instants by the district's clock.
func moments[T any](b *book, head string, get func(T) *time.Time) Column[T] {
	c := words(head, func(row T) string { return b.clock.momentOf(get(row)) })
	c.Sort = func(row T) key { return b.clock.momentKey(get(row)) }
	return c
}

// dates is a column of calendar dates.
func dates[T any](head string, get func(T) *time.Time) Column[T] {
	c := words(head, func(row T) string { return dateOf(get(row)) })
	c.Sort = func(row T) key { return dateKey(get(row)) }
	return c
}

// showing writes another text into the column, which sorts as before.
func (c Column[T]) showing(text func(T) string) Column[T] {
	c.Cell = func(row T) Cell { return Cell{Text: text(row)} }
	return c
}

func (c Column[T]) asNumber(unit string) Column[T] {
	c.Unit, c.IsNumber = unit, true
	return c
}

func (c Column[T]) asProse() Column[T] {
	c.IsProse = true
	return c
}

// picked lets a reader pick rows by the column's values.
func (c Column[T]) picked() Column[T] {
	c.IsPicked = true
	return c
}

// safe lets the column sort a table with crews in it.
func (c Column[T]) safe() Column[T] {
	c.IsCrewSafe = true
	return c
}

// ofCrews says that the column names crews.
func (c Column[T]) ofCrews() Column[T] {
	c.IsCrew = true
	return c.picked().safe()
}

// at reads columns over U off the U that a row of type T holds.
func at[T, U any](get func(T) U, columns []Column[U]) []Column[T] {
	list := make([]Column[T], len(columns))
	for i, c := range columns {
		list[i] = Column[T]{Heading: c.Heading, Cell: func(row T) Cell { return c.Cell(get(row)) }}
		if c.Sort != nil {
			list[i].Sort = func(row T) key { return c.Sort(get(row)) }
		}
	}
	return list
}

// stormCell leads to a storm's page.
func (b *book) stormCell(root, stormID string, isOpen bool) Cell {
	cell := link(stormID, b.stormHref(root, stormID))
	if isOpen {
		cell.Text += ", open"
	}
	return cell
}

// stormColumn names a storm, with a link.
func stormColumn[T any](b *book, root string, get func(T) string) Column[T] {
	return cells("Storm", func(row T) Cell { return b.stormCell(root, get(row), false) }).safe()
}

// stormOrOutside is stormColumn for rows that may be about no storm.
func stormOrOutside[T any](b *book, get func(T) string) Column[T] {
	return cells("Storm", func(row T) Cell {
		return link(cmp.Or(get(row), "outside storms"), b.stormHref("", get(row)))
	}).safe()
}

// routeColumn names a route, with a link.
func routeColumn[T any](b *book, root string, get func(T) string) Column[T] {
	return cells("Route", func(row T) Cell { return link(b.routeShort(get(row)), b.routeHref(root, get(row))) }).safe()
}

// zoneColumn names a zone.
func zoneColumn[T any](b *book, get func(T) string) Column[T] {
	return words("Zone", func(row T) string { return b.zoneName(get(row)) }).picked().safe()
}

func seasonColumn[T any](get func(T) string) Column[T] { return words("Season", get).picked().safe() }

// classColumn names a material class, with its mark; none stands where there is none.
func classColumn[T any](none string, get func(T) string) Column[T] {
	return cells("Class", func(row T) Cell { return Cell{Text: cmp.Or(get(row), none), Class: get(row)} }).picked().safe()
}

// materialColumn names class and form.
func materialColumn[T any](get func(T) (class, form string)) Column[T] {
	return cells("Material", func(row T) Cell { return materialCell(get(row)) }).picked().safe()
}

func truckColumn[T any](get func(T) string) Column[T] { return words("Truck", get).picked() }
