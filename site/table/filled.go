package table

import (
	"cmp"
	"reflect"
	"slices"
	"strings"

	"lanetally/site/book"
	"lanetally/site/format"
)

// Place is a table on a page: its entry of the catalogue, and what the page alone knows of it.
type Place struct {
	ID      string
	Root    string   // leads from the page to the top folder
	Names   []any    // what the caption, then the heads name, as pages show it
	Note    string   // stands under the table in place of the entry's
	Without []string // columns that this page leaves out
}

// Own computes what rows do not hold, by the names of the catalogue's columns: a number, an instant, a text, a Cell, a Shown, or a row with
// columns of its own.
type Own[T any] map[string]func(T) any

// Shown is a value that its cell writes in other words, and sorts by.
type Shown struct {
	Text string
	By   any
}

// Filled writes rows into a table of the catalogue. Where pages name no crew, the columns of crews fall out, here and nowhere else.
func Filled[T any](b *book.Book, place Place, list []T, own Own[T]) Table {
	e, w := EntryOf(place.ID), writer{b, place.Root}
	if e.columns == nil {
		panic("catalogue: no columns of " + place.ID)
	}
	if e.Order != "" {
		list = book.Sorted(list, func(x, y T) int {
			return inOrder(e.Order, func(name string) int { return compare(own.raw(x, name), own.raw(y, name)) })
		})
	}
	named := strings.Count(e.Caption, "%s")
	t := Table{ID: place.ID, Caption: b.Sprintf(e.Caption, place.Names[:named]...), Note: cmp.Or(place.Note, e.Note), Download: e.File,
		Empty: e.Empty}
	columns := columnsOf(b, e, place.Without, place.Names[named:])
	for i := range columns {
		if len(list) > 0 {
			columns[i].settle(own.value(w, list[0], columns[i].name))
		}
		t.Columns = append(t.Columns, columns[i].Heading)
	}
	for i, row := range list {
		shown := Row{Cells: make([]Cell, len(columns))}
		for at, c := range columns {
			shown.Cells[at] = told(own.holder(row, c.name), c.cell(b, own.value(w, row, c.name)))
		}
		isOther := func(name string) bool { return i == 0 || own.raw(row, name) != own.raw(list[i-1], name) }
		if e.PartedAt != "" && own.raw(row, e.PartedAt) == true || slices.ContainsFunc(strings.Fields(e.Parted), isOther) {
			shown.Mark = "parted"
		}
		if e.Open != "" && own.raw(row, e.Open) == true {
			shown.Mark = strings.TrimSpace(shown.Mark + " open")
		}
		t.Rows = append(t.Rows, shown)
	}
	return t
}

// raw is what is computed under a name, else what the row holds.
func (own Own[T]) raw(row T, name string) any {
	if compute, found := own[name]; found {
		return compute(row)
	}
	return field(row, name)
}

// value is what a column writes. What stands before a point names a row within the row.
func (own Own[T]) value(w writer, row T, name string) any {
	before, after, isWithin := strings.Cut(name, ".")
	switch compute, found := own[name]; {
	case found:
		return compute(row)
	case isWithin:
		return w.value(own.raw(row, before), after)
	}
	return w.value(row, name)
}

// holder is the row that a column is of: what stands before a point, else the table's row.
func (own Own[T]) holder(row T, name string) any {
	if before, _, isWithin := strings.Cut(name, "."); isWithin {
		return own.raw(row, before)
	}
	return row
}

// told says of a missing cell that it is withheld, in a row of which figures are.
func told(row any, cell Cell) Cell {
	if v := reflect.ValueOf(row); cell.Text != format.Missing || v.Kind() == reflect.Pointer && v.IsNil() {
		return cell
	}
	if w, can := row.(interface{ LacksFigures() bool }); can && w.LacksFigures() {
		cell.Text = format.NotShown
	}
	return cell
}

// inOrder compares by names in turn; a minus before one turns it.
func inOrder(names string, by func(name string) int) int {
	for name := range strings.FieldsSeq(names) {
		name, isTurned := strings.CutPrefix(name, "-")
		switch order := by(name); {
		case order != 0 && isTurned:
			return -order
		case order != 0:
			return order
		}
	}
	return 0
}
