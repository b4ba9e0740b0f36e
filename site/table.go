package site

// Table is a table ready to be written: every cell is text. The first column heads its row. Note, Empty and the columns' heads and units are fixed
// texts in the words of US units; the page writes them in those that it shows.
type Table struct {
	ID       string // unique on its page; the catalogue knows it
	Caption  string
	Note     string // stands under the table
	Columns  []Column
	Rows     []Row
	Download string // file name in data/ that holds these numbers; "" for none
	Empty    string // stands in place of a table without rows
}

// Column heads a column. Numbers are set flush right; prose may run over several lines.
type Column struct {
	Head, Unit string
	IsNumber   bool
	IsProse    bool
}

// Row is a row of a table. Mark is "", "open", "parted" (a line above it) or both, separated by a space. A minor row may
// be hidden by the page's switch.
type Row struct {
	Mark    string
	IsMinor bool
	Cells   []Cell
}

// Cell is a cell of a table; Href is relative to the page, Class is a material class for its mark, else "".
type Cell struct{ Text, Href, Class string }

// words heads a column of words.
func words(head string) Column { return Column{Head: head} }

// prose heads a column of longer texts.
func prose(head string) Column { return Column{Head: head, IsProse: true} }

// figures heads a column of numbers with their unit.
func figures(head, unit string) Column { return Column{Head: head, Unit: unit, IsNumber: true} }

// cells makes plain cells of texts.
func cells(texts ...string) []Cell {
	list := make([]Cell, len(texts))
	for i, text := range texts {
		list[i] = Cell{Text: text}
	}
	return list
}

// link is a cell that leads to another page.
func link(text, href string) Cell { return Cell{Text: text, Href: href} }
