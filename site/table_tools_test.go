package site

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestTheWordsOfANumbersCellStayTogether(t *testing.T) {
	assert.Equal(t, "1,234", together("1,234"))
	assert.Equal(t, "no\u00a0reports", together("no reports"))
	assert.Equal(t, "3.4 (1\u00a0not\u00a0bare)", together("3.4 (1 not bare)"))
}

// A key is the value that the cell shows, never read back out of its text; it is left out where the text says the same.
func TestSortKeys(t *testing.T) {
	b := &book{data: &Data{}, clock: clock{time.FixedZone("", -7*3600)}}
	metric := &book{data: &Data{}, units: units{isMetric: true}}
	at := time.Date(2029, 12, 3, 12, 40, 0, 0, time.UTC) // 05:40 by the clock
	number := func(b *book, m measure, x *float64) Cell {
		return keyed(b, numbers(b, "", "", m, func(x *float64) *float64 { return x }), x)
	}
	moment := moments(b, "", func(t *time.Time) *time.Time { return t })
	day := dates("", func(t *time.Time) *time.Time { return t })
	open := moment.showing(func(t *time.Time) string { return "open at " + b.clock.momentOf(t) })
	stated := numbers(b, "", "h", tenths,
		func(x *float64) *float64 { return x }).showing(func(x *float64) string { return fixed(x, 1) + " (2 not bare)" })
	signs := signedNumbers(b, "", "", tenths, func(x *float64) *float64 { return x })
	for _, c := range []struct {
		cell      Cell
		text, key string
	}{
		{number(b, mass, new(12.0)), "12", ""},
		{number(b, mass, new(1204.4)), "1,204", "1204"},
		{number(metric, mass, new(10000.0)), "4,536", "4536"}, // 0.45359237 kg a pound
		{number(b, hundredths, new(12345678.9)), "12,345,678.90", "12345678.90"},
		{number(b, temperature, new(-2.14)), "−2.1", "-2.1"},
		{number(b, temperature, new(-0.04)), "0.0", ""},
		{number(b, mass, nil), missing, ""},
		{keyed(b, signs, new(3.0)), "+3.0", ""}, // a script reads the sign
		{keyed(b, signs, new(1000.5)), "+1,000.5", "1000.5"},
		{keyed(b, stated, new(3.4)), "3.4 (2 not bare)", "3.4"},
		{keyed(b, stated, nil), "– (2 not bare)", ""},
		{keyed(b, shares(b, "", "%", func(x *float64) *float64 { return x }), new(12.34)), "1,234", "1234"},
		{keyed(b, wholes("", "", func(n int) int { return n }), 1204), "1,204", "1204"},
		{keyed(b, counts("", "", func(n *int64) *int64 { return n }), nil), missing, ""},
		{keyed(b, moment, &at), "3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{keyed(b, open, &at), "open at 3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{keyed(b, moment, nil), missing, ""},
		{keyed(b, day, &at), "3 Dec 2029", "2029-12-03"},
		{keyed(b, words("", func(text string) string { return text }), "3 Dec 2029"), "3 Dec 2029", ""}, // a word is no date
	} {
		assert.Equal(t, Cell{Text: c.text, key: key(c.key)}, c.cell)
	}
}

// keyed is the cell that a table of one row and one column gets.
func keyed[T any](b *book, c Column[T], row T) Cell {
	return filled(b, Table{}, []Column[T]{c}, []T{row}).Rows[0].Cells[0]
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
	same := func(string) string { return "same" }
	five := func(string) *float64 { return new(5.0) }
	columns := []Column[string]{words("Zone", func(z string) string { return z }).picked(), words("Class", same).picked(),
		numbers(b, "Rate", "lb", mass, five), numbers(b, "Rate", "kg", mass, five)}
	shown := func(id string, n int) shownTable {
		return b.showTable("", filled(b, Table{ID: id}, columns, slices.Repeat([]string{"A", "B"}, 10)[:n]))
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
	columns := []Column[string]{words("Zone", func(z string) string { return z }).safe(),
		words("Verdict", func(string) string { return "same" }),
		words("By", func(string) string { return "quern1x" }).ofCrews()}
	shown := func(mode string) shownTable {
		b := &book{data: &Data{CrewPages: mode}}
		return b.showTable("", filled(b, Table{ID: "season-storms"}, columns, []string{"A", "B", "C", "D"}))
	}
	all := shown(CrewPagesAll)
	assert.Len(t, all.Heads, 3)
	assert.True(t, all.Heads[0].Sorts && all.Heads[2].Sorts)
	assert.False(t, all.Heads[1].Sorts)
	for _, mode := range []string{CrewPagesOwn, CrewPagesNone, ""} {
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
	for text, want := range map[string]bool{"R-05 Summit road": true, missing: true, "−2.1 °F": true, "Ünder": false, reversedName: false, "שלום": false} {
		assert.Equal(t, want, isPlain(text), text)
	}
}
