package site

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
)

func TestTheWordsOfANumbersCellStayTogether(t *testing.T) {
	assert.Equal(t, "1,234", together("1,234"))
	assert.Equal(t, "no\u00a0reports", together("no reports"))
	assert.Equal(t, "3.4 (1\u00a0not\u00a0bare)", together("3.4 (1 not bare)"))
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
	b := &book.Book{Data: &book.Data{}}
	columns := []table.Heading{{Head: "Zone", IsPicked: true}, {Head: "Class", IsPicked: true}, {Head: "Rate", Unit: "lb", IsNumber: true},
		{Head: "Rate", Unit: "kg", IsNumber: true}}
	row := func(zone string) table.Row {
		return table.Row{Cells: []table.Cell{{Text: zone}, {Text: "same"}, {Text: "5"}, {Text: "5"}}}
	}
	shown := func(id string, n int) shownTable {
		return showTable(b, "", table.Table{ID: id, Columns: columns, Rows: slices.Repeat([]table.Row{row("A"), row("B")}, 10)[:n]})
	}
	four := shown("season-storms", 4)
	assert.True(t, four.Heads[0].Filters && four.Heads[0].Sorts)
	assert.False(t, four.Heads[1].Filters, "a column with one value")
	assert.False(t, four.Heads[2].Filters, "nobody picks by it")
	assert.False(t, four.Finds)
	assert.True(t, shown("season-storms", 15).Finds)
	assert.False(t, shown("season-storms", 3).Heads[0].Sorts)
	assert.False(t, shown("measures-x", 20).Heads[2].Sorts)
	assert.Equal(t, "rate-2", shown("x", 0).Heads[3].Key)
}

// A table with crews in it sorts by what its columns say is safe, and where the crews fall out by all of them.
func TestColumnsOfCrewsFallOut(t *testing.T) {
	shown := func(mode string) shownTable {
		b := &book.Book{Data: &book.Data{CrewPages: mode}}
		return showTable(b, "", table.Filled(b, table.Place{ID: "work-a", Names: []any{"zone A", "S1"}}, make([]rows.StormRoute, 4),
			table.Own[rows.StormRoute]{"crews": func(rows.StormRoute) any { return "quern1x" }}))
	}
	all := shown(rows.CrewPagesAll)
	last := len(all.Heads) - 1
	assert.Equal(t, []string{"Route", "Material", "Rounds", "Crews"}, []string{all.Heads[0].Head, all.Heads[1].Head, all.Heads[4].Head,
		all.Heads[last].Head})
	assert.True(t, all.Heads[0].Sorts && all.Heads[last].Sorts)
	assert.False(t, all.Heads[4].Sorts)
	for _, mode := range []string{rows.CrewPagesOwn, rows.CrewPagesNone, ""} {
		none := shown(mode)
		assert.Len(t, none.Heads, last, mode)
		assert.True(t, none.Heads[0].Sorts && none.Heads[4].Sorts, mode)
		for _, row := range none.Rows {
			require.Len(t, row.Cells, last, mode)
			for _, cell := range row.Cells {
				assert.NotContains(t, cell.Text, "quern", mode)
			}
		}
	}
}

func TestIsPlain(t *testing.T) {
	for text, want := range map[string]bool{"R-05 Summit road": true, format.Missing: true, "−2.1 °F": true, "Ünder": false,
		reversedName: false, "שלום": false} {
		assert.Equal(t, want, isPlain(text), text)
	}
}
