// Package table is what pages are made of: sections, figures, and tables, which the catalogue describes.
package table

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

// Link is a cell that leads to another page.
func Link(text, href string) Cell { return Cell{Text: text, Href: href} }
