package site

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Fewer rows are read faster than sorted or filtered; fewer than fewestToFind need no search of their own.
const (
	fewestToSort = 4
	fewestToFind = 15
)

// filterHeads are the columns whose values a reader can pick from.
var filterHeads = []string{"Class", "Material", "Assigned", "Zone", "Crew", "Crews", "Season", "Kind", "Feed", "Finding", "Truck", "Pile", "Watershed"}

// crewSafeHeads are the columns that sort a table with crews in it. Pounds, rates, shares, hours to bare lane and verdicts
// are not among them: crews are not ranked.
var crewSafeHeads = []string{"Crew", "Crews", "Storm", "Route", "Zone", "Season", "Class", "Material", "Assigned", "Began", "From", "To", "First application"}

// shownTable is a table with what its page adds to it.
type shownTable struct {
	Table
	Heads []head
	Why   why
	Finds bool // long enough for a search of its own
}

// head is a column as the page writes it. Key names it in an address; Sorts and Filters say what its script may offer.
type head struct {
	Column
	Key            string
	Sorts, Filters bool
}

// showTable adds to a table what the page's script and its curious readers need.
func (b *book) showTable(root string, t Table) shownTable {
	e := entryOf(t.ID)
	shown := shownTable{Table: t, Why: b.whyOf(root, t.ID, t.Download), Finds: !e.isFixed && len(t.Rows) >= fewestToFind}
	hasTools := !e.isFixed && len(t.Rows) >= fewestToSort
	namesCrews := e.ofCrew || slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Head == "Crew" || c.Head == "Crews" })
	used := map[string]int{}
	for i, c := range t.Columns {
		h := head{Column: c, Key: slug(c.Head)}
		if used[h.Key]++; used[h.Key] > 1 {
			h.Key += "-" + strconv.Itoa(used[h.Key])
		}
		h.Sorts = hasTools && (!namesCrews || !c.IsNumber && slices.Contains(crewSafeHeads, c.Head))
		h.Filters = hasTools && slices.Contains(filterHeads, c.Head) && hasTwoTexts(t.Rows, i)
		shown.Heads = append(shown.Heads, h)
	}
	return shown
}

// hasTwoTexts tells whether a column says different things in different rows.
func hasTwoTexts(rows []Row, column int) bool {
	return slices.ContainsFunc(rows, func(r Row) bool { return r.Cells[column].Text != rows[0].Cells[column].Text })
}

// hasTools tells whether a page needs the script of its tables.
func (b *book) hasTools(sections []Section) bool {
	for _, s := range sections {
		if s.Minor > 0 {
			return true
		}
		for _, t := range s.Tables {
			if !entryOf(t.ID).isFixed && len(t.Rows) >= fewestToSort {
				return true
			}
		}
	}
	return false
}

var (
	plainNumber   = regexp.MustCompile(`^[-+]?[0-9]+(\.[0-9]+)?$`)
	leadingNumber = regexp.MustCompile(`^[-+−]?[0-9][0-9,]*(\.[0-9]+)?`)
	leadingMoment = regexp.MustCompile(`^(?:open at )?([0-9]{1,2} [A-Z][a-z]{2} [0-9]{4})(?:, ([0-9]{2}:[0-9]{2}))?`)
)

// SortKey is what a cell sorts by where its text does not say so by itself: the number that a text begins with, an instant
// as text that sorts. "" leaves it to the text; a column of numbers puts a text without one last.
func (c Column) SortKey(text string) string {
	if c.IsNumber {
		if plainNumber.MatchString(text) {
			return ""
		}
		return strings.NewReplacer(",", "", "−", "-", "+", "").Replace(leadingNumber.FindString(text))
	}
	found := leadingMoment.FindStringSubmatch(text)
	if found == nil {
		return ""
	}
	at, err := time.Parse("2 Jan 2006", found[1])
	if err != nil {
		return ""
	}
	return strings.TrimSpace(at.Format(time.DateOnly) + " " + found[2])
}
