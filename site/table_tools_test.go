package site

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

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

// A key is the value that the cell shows, never read back out of its text; it is left out where the text says the same.
func TestSortKeys(t *testing.T) {
	b := &book.Book{Data: &book.Data{}, Clock: format.Clock{Zone: time.FixedZone("", -7*3600)}}
	metric := &book.Book{Data: &book.Data{}, Units: format.Units{IsMetric: true}}
	at := time.Date(2029, 12, 3, 12, 40, 0, 0, time.UTC) // 05:40 by the clock
	number := func(b *book.Book, m format.Measure, x *float64) table.Cell {
		return keyed(b, table.Numbers(b, "", "", m, func(x *float64) *float64 { return x }), x)
	}
	moment := table.Moments(b, "", func(t *time.Time) *time.Time { return t })
	day := table.Dates("", func(t *time.Time) *time.Time { return t })
	open := moment.Showing(func(t *time.Time) string { return "open at " + b.Clock.MomentOf(t) })
	stated := table.Numbers(b, "", "h", table.Tenths,
		func(x *float64) *float64 { return x }).Showing(func(x *float64) string { return format.Fixed(x, 1) + " (2 not bare)" })
	signs := table.SignedNumbers(b, "", "", table.Tenths, func(x *float64) *float64 { return x })
	for _, c := range []struct {
		cell      table.Cell
		text, key string
	}{
		{number(b, format.Mass, new(12.0)), "12", ""},
		{number(b, format.Mass, new(1204.4)), "1,204", "1204"},
		{number(metric, format.Mass, new(10000.0)), "4,536", "4536"}, // 0.45359237 kg a pound
		{number(b, table.Hundredths, new(12345678.9)), "12,345,678.90", "12345678.90"},
		{number(b, format.Temperature, new(-2.14)), "−2.1", "-2.1"},
		{number(b, format.Temperature, new(-0.04)), "0.0", ""},
		{number(b, format.Mass, nil), format.Missing, ""},
		{keyed(b, signs, new(3.0)), "+3.0", ""}, // a script reads the sign
		{keyed(b, signs, new(1000.5)), "+1,000.5", "1000.5"},
		{keyed(b, stated, new(3.4)), "3.4 (2 not bare)", "3.4"},
		{keyed(b, stated, nil), "– (2 not bare)", ""},
		{keyed(b, table.Shares(b, "", "%", func(x *float64) *float64 { return x }), new(12.34)), "1,234", "1234"},
		{keyed(b, table.Wholes("", "", func(n int) int { return n }), 1204), "1,204", "1204"},
		{keyed(b, table.Counts("", "", func(n *int64) *int64 { return n }), nil), format.Missing, ""},
		{keyed(b, moment, &at), "3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{keyed(b, open, &at), "open at 3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{keyed(b, moment, nil), format.Missing, ""},
		{keyed(b, day, &at), "3 Dec 2029", "2029-12-03"},
		{keyed(b, table.Words("", func(text string) string { return text }), "3 Dec 2029"), "3 Dec 2029", ""}, // a word is no date
	} {
		assert.Equal(t, table.Cell{Text: c.text, Key: table.Key(c.key)}, c.cell)
	}
}

// keyed is the cell that a table of one row and one column gets.
func keyed[T any](b *book.Book, c table.Column[T], row T) table.Cell {
	return table.Filled(b, table.Table{}, []table.Column[T]{c}, []T{row}).Rows[0].Cells[0]
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
	same := func(string) string { return "same" }
	five := func(string) *float64 { return new(5.0) }
	columns := []table.Column[string]{table.Words("Zone", func(z string) string { return z }).Picked(), table.Words("Class", same).Picked(),
		table.Numbers(b, "Rate", "lb", format.Mass, five), table.Numbers(b, "Rate", "kg", format.Mass, five)}
	shown := func(id string, n int) shownTable {
		return showTable(b, "", table.Filled(b, table.Table{ID: id}, columns, slices.Repeat([]string{"A", "B"}, 10)[:n]))
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
	columns := []table.Column[string]{table.Words("Zone", func(z string) string { return z }).Safe(),
		table.Words("Verdict", func(string) string { return "same" }),
		table.Words("By", func(string) string { return "quern1x" }).OfCrews()}
	shown := func(mode string) shownTable {
		b := &book.Book{Data: &book.Data{CrewPages: mode}}
		return showTable(b, "", table.Filled(b, table.Table{ID: "season-storms"}, columns, []string{"A", "B", "C", "D"}))
	}
	all := shown(rows.CrewPagesAll)
	assert.Len(t, all.Heads, 3)
	assert.True(t, all.Heads[0].Sorts && all.Heads[2].Sorts)
	assert.False(t, all.Heads[1].Sorts)
	for _, mode := range []string{rows.CrewPagesOwn, rows.CrewPagesNone, ""} {
		none := shown(mode)
		assert.Len(t, none.Heads, 2, mode)
		assert.True(t, none.Heads[0].Sorts && none.Heads[1].Sorts, mode)
		for _, row := range none.Rows {
			assert.Len(t, row.Cells, 2, mode)
			assert.NotContains(t, row.Cells[1].Text, "quern", mode)
		}
	}
}

func TestIsPlain(t *testing.T) {
	for text, want := range map[string]bool{"R-05 Summit road": true, format.Missing: true, "−2.1 °F": true, "Ünder": false,
		reversedName: false, "שלום": false} {
		assert.Equal(t, want, isPlain(text), text)
	}
}
