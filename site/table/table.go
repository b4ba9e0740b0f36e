// Package table is what pages are made of: sections, figures, and tables whose columns are values over the type of their rows.
package table

import (
	"slices"
	"strings"

	"lanetally/site/book"
)

// Table is a table ready to be written: every cell is text. The first column heads its row. Note, Empty and the columns' heads and units
// are fixed texts in the words of US units; the page writes them in those that it shows.
type Table struct {
	ID       string // unique on its page; the catalogue knows it
	Caption  string
	Note     string // stands under the table
	Columns  []Heading
	Rows     []Row
	Download string // file name in data/ that holds these numbers; "" for none
	Empty    string // stands in place of a table without rows
}

// Heading is what stands over a column, and what a page may do with the column. Numbers are set flush right; prose
// may run over several lines.
type Heading struct {
	Head, Unit string
	IsNumber   bool
	IsProse    bool
	IsCrew     bool // names crews: falls out of every page where pages name none
	IsPicked   bool // a reader can pick rows by its values
	IsCrewSafe bool // sorts a table with crews in it. Numbers and verdicts are never safe: crews are not ranked
}

// Column is a column over rows of type T: its heading, and what a row says in it.
type Column[T any] struct {
	Heading
	Cell func(T) Cell
	Sort func(T) Key // nil: by the cell's text
}

// Row is a row of a table. Mark is "", "open", "parted" (a line above it) or both, separated by a space. A minor row may
// be hidden by the page's switch.
type Row struct {
	Mark    string
	IsMinor bool
	Cells   []Cell
}

// Cell is a cell of a table; Href is relative to the page, Class is a material class for its mark, else "". The key
// is empty where the text is it.
type Cell struct {
	Text, Href, Class string
	Key               Key
}

// mark tells the Mark of a row among the rows of its table.
type mark[T any] func(rows []T, i int) string

// PartedBy draws a line above each row that differs from the one before it in what by tells.
func PartedBy[T any, K comparable](by func(T) K) mark[T] {
	return func(rows []T, i int) string {
		if i > 0 && by(rows[i-1]) == by(rows[i]) {
			return ""
		}
		return "parted"
	}
}

// Marked marks the rows of which is tells so.
func Marked[T any](name string, is func(T) bool) mark[T] {
	return func(rows []T, i int) string {
		if is(rows[i]) {
			return name
		}
		return ""
	}
}

// Filled writes rows through columns into a table. Where pages name no crew, the columns of crews fall out, here and nowhere else.
func Filled[T any](b *book.Book, table Table, columns []Column[T], rows []T, marks ...mark[T]) Table {
	if !b.NamesCrews() {
		columns = slices.DeleteFunc(slices.Clone(columns), func(c Column[T]) bool { return c.IsCrew })
	}
	for _, c := range columns {
		table.Columns = append(table.Columns, c.Heading)
	}
	for i, row := range rows {
		shown := Row{Cells: make([]Cell, len(columns))}
		for at, c := range columns {
			cell := c.Cell(row)
			if c.Sort != nil {
				cell.Key = c.Sort(row).beside(cell.Text)
			}
			shown.Cells[at] = cell
		}
		for _, m := range marks {
			shown.Mark = strings.TrimSpace(shown.Mark + " " + m(rows, i))
		}
		table.Rows = append(table.Rows, shown)
	}
	return table
}

// Link is a cell that leads to another page.
func Link(text, href string) Cell { return Cell{Text: text, Href: href} }
