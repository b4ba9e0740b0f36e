package table

import (
	"cmp"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// Key is what a cell sorts by: a number as scripts read it, an instant or a date as text in its order; "" leaves it to the
// cell's text, and a column of numbers puts a text that is none last.
type Key string

// numberKey is the number as the cell shows it, rounded alike; "" without one.
func numberKey(x *float64, decimals int) Key {
	rounded, found := format.RoundedTo(x, decimals)
	if !found {
		return ""
	}
	return Key(strconv.FormatFloat(rounded, 'f', decimals, 64))
}

// momentKey is an instant by the district's clock, to the minute.
func momentKey(c format.Clock, t *time.Time) Key {
	if t == nil {
		return ""
	}
	return Key(t.In(c.Zone).Format("2006-01-02 15:04"))
}

// dateKey is a calendar date.
func dateKey(t *time.Time) Key {
	if t == nil {
		return ""
	}
	return Key(t.UTC().Format(time.DateOnly))
}

// beside is the key where the text that it stands beside does not say it by itself.
func (k Key) beside(text string) Key {
	if string(k) == strings.TrimPrefix(text, "+") {
		return ""
	}
	return k
}

// Numbers without a unit that the pages convert.
var (
	Ones       = format.Measure{Factor: 1, Zero: 0, UsDecimals: 0, MetricDecimals: 0}
	Tenths     = format.Measure{Factor: 1, Zero: 0, UsDecimals: 1, MetricDecimals: 1} // hours too
	Hundredths = format.Measure{Factor: 1, Zero: 0, UsDecimals: 2, MetricDecimals: 2} // ratios and applications, to a hundredth
)

// Cells is a column of cells that lead somewhere or carry a mark.
func Cells[T any](head string, cell func(T) Cell) Column[T] {
	return Column[T]{Heading: Heading{Head: head}, Cell: cell}
}

// Words is a column of words.
func Words[T any](head string, get func(T) string) Column[T] {
	return Cells(head, func(row T) Cell { return Cell{Text: rows.Visible(get(row))} })
}

// Prose is a column of longer texts.
func Prose[T any](head string, get func(T) string) Column[T] { return Words(head, get).AsProse() }

// FlushRight is a column of words set as numbers are.
func FlushRight[T any](head, unit string, get func(T) string) Column[T] {
	return Words(head, get).AsNumber(unit)
}

// Numbers is a column of numbers with their unit.
func Numbers[T any](b *book.Book, head, unit string, m format.Measure, get func(T) *float64) Column[T] {
	c := FlushRight(head, unit, func(row T) string { return b.Write(m, get(row)) })
	c.Sort = func(row T) Key { return numberKey(b.ValueOf(m, get(row)), b.Decimals(m)) }
	return c
}

// SignedNumbers is numbers with a sign on either side of 0.
func SignedNumbers[T any](b *book.Book, head, unit string, m format.Measure, get func(T) *float64) Column[T] {
	return Numbers(b, head, unit, m, get).Showing(func(row T) string { return b.Signed(m, get(row)) })
}

// Shares is a column of shares between 0 and 1, as whole percent.
func Shares[T any](b *book.Book, head, unit string, get func(T) *float64) Column[T] {
	return Numbers(b, head, unit, Ones, func(row T) *float64 { return format.Hundredfold(get(row)) })
}

// Counts is a column of whole numbers that may be missing.
func Counts[T any](head, unit string, get func(T) *int64) Column[T] {
	c := FlushRight(head, unit, func(row T) string { return format.Count(get(row)) })
	c.Sort = func(row T) Key {
		if n := get(row); n != nil {
			return Key(strconv.FormatInt(*n, 10))
		}
		return ""
	}
	return c
}

// Wholes is a column of whole numbers.
func Wholes[T any, N int | int64](head, unit string, get func(T) N) Column[T] {
	return Counts(head, unit, func(row T) *int64 { n := int64(get(row)); return &n })
}

// Moments is a column of instants by the district's clock.
func Moments[T any](b *book.Book, head string, get func(T) *time.Time) Column[T] {
	c := Words(head, func(row T) string { return b.Clock.MomentOf(get(row)) })
	c.Sort = func(row T) Key { return momentKey(b.Clock, get(row)) }
	return c
}

// Dates is a column of calendar dates.
func Dates[T any](head string, get func(T) *time.Time) Column[T] {
	c := Words(head, func(row T) string { return format.DateOf(get(row)) })
	c.Sort = func(row T) Key { return dateKey(get(row)) }
	return c
}

// Showing writes another text into the column, which sorts as before.
func (c Column[T]) Showing(text func(T) string) Column[T] {
	c.Cell = func(row T) Cell { return Cell{Text: text(row)} }
	return c
}

// AsNumber says that the column holds numbers, in a unit; "" for none.
func (c Column[T]) AsNumber(unit string) Column[T] {
	c.Unit, c.IsNumber = unit, true
	return c
}

// AsProse says that the column holds prose.
func (c Column[T]) AsProse() Column[T] {
	c.IsProse = true
	return c
}

// Picked lets a reader pick rows by the column's values.
func (c Column[T]) Picked() Column[T] {
	c.IsPicked = true
	return c
}

// Safe lets the column sort a table with crews in it.
func (c Column[T]) Safe() Column[T] {
	c.IsCrewSafe = true
	return c
}

// OfCrews says that the column names crews.
func (c Column[T]) OfCrews() Column[T] {
	c.IsCrew = true
	return c.Picked().Safe()
}

// At reads columns over U off the U that a row of type T holds.
func At[T, U any](get func(T) U, columns []Column[U]) []Column[T] {
	list := make([]Column[T], len(columns))
	for i, c := range columns {
		list[i] = Column[T]{Heading: c.Heading, Cell: func(row T) Cell { return c.Cell(get(row)) }}
		if c.Sort != nil {
			list[i].Sort = func(row T) Key { return c.Sort(get(row)) }
		}
	}
	return list
}

// StormCell leads to a storm's page.
func StormCell(b *book.Book, root, stormID string, isOpen bool) Cell {
	cell := Link(stormID, b.StormHref(root, stormID))
	if isOpen {
		cell.Text += ", open"
	}
	return cell
}

// StormColumn names a storm, with a link.
func StormColumn[T any](b *book.Book, root string, get func(T) string) Column[T] {
	return Cells("Storm", func(row T) Cell { return StormCell(b, root, get(row), false) }).Safe()
}

// StormOrOutside is StormColumn for rows that may be about no storm.
func StormOrOutside[T any](b *book.Book, get func(T) string) Column[T] {
	return Cells("Storm", func(row T) Cell {
		return Link(cmp.Or(get(row), "outside storms"), b.StormHref("", get(row)))
	}).Safe()
}

// RouteColumn names a route, with a link.
func RouteColumn[T any](b *book.Book, root string, get func(T) string) Column[T] {
	return Cells("Route", func(row T) Cell { return Link(b.RouteShort(get(row)), b.RouteHref(root, get(row))) }).Safe()
}

// ZoneColumn names a zone.
func ZoneColumn[T any](b *book.Book, get func(T) string) Column[T] {
	return Words("Zone", func(row T) string { return b.ZoneName(get(row)) }).Picked().Safe()
}

// SeasonColumn names a season.
func SeasonColumn[T any](get func(T) string) Column[T] { return Words("Season", get).Picked().Safe() }

// ClassColumn names a material class, with its mark; none stands where there is none.
func ClassColumn[T any](none string, get func(T) string) Column[T] {
	return Cells("Class", func(row T) Cell { return Cell{Text: cmp.Or(get(row), none), Class: get(row)} }).Picked().Safe()
}

// MaterialColumn names class and form.
func MaterialColumn[T any](get func(T) (class, form string)) Column[T] {
	return Cells("Material", func(row T) Cell { return materialCell(get(row)) }).Picked().Safe()
}

// TruckColumn names a truck.
func TruckColumn[T any](get func(T) string) Column[T] { return Words("Truck", get).Picked() }

// materialCell names class and form; a row without a class is a route that was only plowed.
func materialCell(class, form string) Cell {
	if class == "" {
		return Cell{Text: "plowed only"}
	}
	return Cell{Text: class + ", " + form, Class: class}
}

// columnUnits are the ends of the names of exported columns that carry a unit which the pages convert, the longest first.
var columnUnits = []struct {
	end, word string
	format.Measure
}{{"_lb_per_lane_mi", "lb per lane-mile", format.MassRate}, {"_lane_miles", "lane-miles", format.LaneLength}, {"_lb", "lb", format.Mass},
	{"_f_mean", "°F mean", format.Temperature},
	{"_f_min", "°F min", format.Temperature}, {"_mph_max", "mph max", format.Speed}, {"_in", "in", format.Water}}

// ChangedColumn names an exported column with its unit in words and writes two of its figures to a hundredth.
func ChangedColumn(u format.Units, name string, before, after *float64) (label string, was, now Cell) {
	label, m := strings.ReplaceAll(name, "_", " "), format.Measure{Factor: 1}
	for _, c := range columnUnits {
		if rest, found := strings.CutSuffix(name, c.end); found {
			label, m = strings.ReplaceAll(rest, "_", " ")+", "+u.UnitWords(c.word), c.Measure
			break
		}
	}
	return label, hundredthCell(u.ValueOf(m, before)), hundredthCell(u.ValueOf(m, after))
}

// hundredthCell writes a number to a hundredth.
func hundredthCell(x *float64) Cell {
	text := format.Fixed(x, 2)
	return Cell{Text: text, Key: numberKey(x, 2).beside(text)}
}
