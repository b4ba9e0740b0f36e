package site

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTheWordsOfANumbersCellStayTogether(t *testing.T) {
	assert.Equal(t, "1,234", together("1,234"))
	assert.Equal(t, "no\u00a0reports", together("no reports"))
	assert.Equal(t, "3.4 (1\u00a0not\u00a0bare)", together("3.4 (1 not bare)"))
}

func TestSortKey(t *testing.T) {
	number, text := figures("Applied", "lb"), words("Began")
	for _, c := range []struct {
		column     Column
		text, want string
	}{
		{number, "12", ""}, // the text says it itself
		{number, "-3.5", ""},
		{number, "1,204", "1204"},
		{number, "12,345,678.90", "12345678.90"},
		{number, "−2.1", "-2.1"}, // a minus sign
		{number, "+1,000.5", "1000.5"},
		{number, "3.4 (2 not bare)", "3.4"},
		{number, "0.94 to 1.04", "0.94"},
		{number, missing, ""},
		{number, "not bare", ""},
		{text, "3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{text, "13 Dec 2029, 05:40, open", "2029-12-13 05:40"},
		{text, "open at 3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{text, "10 Jan 2031", "2031-01-10"},
		{text, "d1-20291203", ""},
		{text, "99 Foo 2031", ""},
		{text, "", ""},
	} {
		assert.Equal(t, c.want, c.column.SortKey(c.text), c.text)
	}
}

var (
	tableTexts = regexp.MustCompile(`(?s)<table id="([^"]*)".*?</table>`)
	headTexts  = regexp.MustCompile(`(?s)<th scope="col"([^>]*)>(.*?)</th>`)
)

// Crews are not ranked: where a table names crews, or is a crew's own, no column of numbers sorts, and no verdict does.
func TestNoTableWithCrewsSortsByNumbers(t *testing.T) {
	tables, sorting := 0, 0
	for name, text := range made(t) {
		for _, table := range tableTexts.FindAllStringSubmatch(text, -1) {
			heads := headTexts.FindAllStringSubmatch(table[0], -1)
			hasCrews := strings.HasPrefix(name, "crews/")
			for _, head := range heads {
				hasCrews = hasCrews || strings.HasPrefix(head[2], "Crew")
			}
			if !hasCrews {
				continue
			}
			tables++
			for _, head := range heads {
				if strings.Contains(head[1], "data-sorts") {
					sorting++
					assert.NotContains(t, head[1], "number", "%s %s: %s", name, table[1], head[2])
					assert.NotRegexp(t, `(?i)verdict|fit|service|rate|share`, head[2], "%s %s", name, table[1])
				}
			}
		}
	}
	assert.Greater(t, tables, 20)
	assert.Greater(t, sorting, 40)
}

// Keys name columns in addresses, so a table may not have one twice.
func TestKeysOfATableDiffer(t *testing.T) {
	keys := regexp.MustCompile(`data-(sorts|filters)="([^"]*)"`)
	tables := 0
	for name, text := range made(t) {
		for _, table := range tableTexts.FindAllStringSubmatch(text, -1) {
			seen := map[string]bool{}
			for _, match := range keys.FindAllStringSubmatch(table[0], -1) {
				assert.Regexp(t, `^[a-z0-9]+(-[a-z0-9]+)*$`, match[2], name)
				assert.False(t, seen[match[0]], "%s %s: %s", name, table[1], match[0])
				seen[match[0]] = true
			}
			if len(seen) > 0 {
				tables++
			}
		}
	}
	assert.Greater(t, tables, 100)
}

// Short tables, and tables whose rows differ in unit or stand in an order that says something, are left as they are.
func TestWhichTablesHaveTools(t *testing.T) {
	b := &book{data: &Data{}}
	rows := func(n int) (list []Row) {
		for i := range n {
			list = append(list, Row{Cells: cells([]string{"A", "B"}[i%2], "same", "5")})
		}
		return list
	}
	columns := []Column{words("Zone"), words("Class"), figures("Rate", "lb"), figures("Rate", "kg")}
	shown := b.showTable("", Table{ID: "season-storms", Columns: columns[:3], Rows: rows(4)})
	assert.True(t, shown.Heads[0].Filters && shown.Heads[0].Sorts)
	assert.False(t, shown.Heads[1].Filters, "a column with one value")
	assert.False(t, shown.Finds)
	assert.True(t, b.showTable("", Table{ID: "season-storms", Columns: columns[:3], Rows: rows(15)}).Finds)
	assert.False(t, b.showTable("", Table{ID: "season-storms", Columns: columns[:3], Rows: rows(3)}).Heads[0].Sorts)
	assert.False(t, b.showTable("", Table{ID: "measures-x", Columns: columns[:3], Rows: rows(20)}).Heads[2].Sorts)
	assert.Equal(t, "rate-2", b.showTable("", Table{ID: "x", Columns: columns, Rows: nil}).Heads[3].Key)
}

func TestIsPlain(t *testing.T) {
	for text, want := range map[string]bool{"R-05 Summit road": true, missing: true, "−2.1 °F": true, "Ünder": false, reversedName: false, "שלום": false} {
		assert.Equal(t, want, isPlain(text), text)
	}
}
