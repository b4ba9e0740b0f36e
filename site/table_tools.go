package site

import (
	"slices"
	"strconv"

	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
)

// Fewer rows are read faster than sorted or filtered; fewer than fewestToFind need no search of their own.
const (
	fewestToSort = 4
	fewestToFind = 15
)

// shownTable is a table with what its page adds to it.
type shownTable struct {
	table.Table
	Heads []head
	Why   why
	Finds bool // long enough for a search of its own
}

// head is a column as the page writes it. Key names it in an address; Sorts and Filters say what its script may offer.
type head struct {
	table.Heading
	Key            string
	Sorts, Filters bool
}

// showTable adds to a table what the page's script and its curious readers need.
func showTable(b *book.Book, root string, t table.Table) shownTable {
	e := table.EntryOf(t.ID)
	shown := shownTable{Table: t, Why: whyOf(b, root, t.ID, t.Download), Finds: !e.IsFixed && len(t.Rows) >= fewestToFind}
	hasTools := !e.IsFixed && len(t.Rows) >= fewestToSort
	namesCrews := e.OfCrew || slices.ContainsFunc(t.Columns, func(c table.Heading) bool { return c.IsCrew })
	used := map[string]int{}
	for i, c := range t.Columns {
		h := head{Heading: c, Key: format.Slug(c.Head)}
		if used[h.Key]++; used[h.Key] > 1 {
			h.Key += "-" + strconv.Itoa(used[h.Key])
		}
		h.Sorts = hasTools && (!namesCrews || c.IsCrewSafe)
		h.Filters = hasTools && c.IsPicked && hasTwoTexts(t.Rows, i)
		shown.Heads = append(shown.Heads, h)
	}
	return shown
}

// hasTwoTexts tells whether a column says different things in different rows.
func hasTwoTexts(rows []table.Row, column int) bool {
	return slices.ContainsFunc(rows, func(r table.Row) bool { return r.Cells[column].Text != rows[0].Cells[column].Text })
}

// hasTools tells whether a page needs the script of its tables.
func hasTools(b *book.Book, sections []table.Section) bool {
	for _, s := range sections {
		if s.Minor > 0 {
			return true
		}
		for _, t := range s.Tables {
			if !table.EntryOf(t.ID).IsFixed && len(t.Rows) >= fewestToSort {
				return true
			}
		}
	}
	return false
}
