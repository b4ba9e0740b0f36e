package pipeline

import (
	"cmp"
	"context"
	"encoding/csv"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/queries"
)

// caseFolder holds a folder per query with cases worked by hand, and base.txt, which every case begins from.
const caseFolder = "../testdata/queries"

// tallyBlock is one block of a case: rows given to a table, its defaults, or the rows expected of it.
type tallyBlock struct {
	verb, table string
	columns     []string
	rows        [][]string
}

// readTallyCase reads a case: lines of `#` are the arithmetic; `given`, `default` and `expect` open a block of
// CSV rows, which ends at an empty line.
func readTallyCase(t *testing.T, path string) []tallyBlock {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var blocks []tallyBlock
	for number, line := range strings.Split(string(text), "\n") {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		head, columns, isHead := strings.Cut(line, ": ")
		verb, table, _ := strings.Cut(head, " ")
		if isHead && (verb == "given" || verb == "default" || verb == "expect") {
			blocks = append(blocks, tallyBlock{verb: verb, table: table, columns: splitCells(t, columns)})
			continue
		}
		require.NotEmpty(t, blocks, "%s:%d: a row before any block", path, number+1)
		last := &blocks[len(blocks)-1]
		cells := splitCells(t, line)
		require.Len(t, cells, len(last.columns), "%s:%d: %s", path, number+1, line)
		last.rows = append(last.rows, cells)
	}
	return blocks
}

func splitCells(t *testing.T, line string) []string {
	t.Helper()
	reader := csv.NewReader(strings.NewReader(line))
	reader.TrimLeadingSpace = true
	cells, err := reader.Read()
	require.NoError(t, err, line)
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells
}

// giveTallyRows fills the loaded tables: what the case gives of a table replaces what the base gives of it.
func giveTallyRows(ctx context.Context, t *testing.T, l *Ledger, base, own []tallyBlock) {
	t.Helper()
	createLoaded(ctx, t, l, "America/Denver")
	defaults := map[string]tallyBlock{}
	given := map[string][]tallyBlock{}
	for _, blocks := range [][]tallyBlock{base, own} {
		fresh := map[string][]tallyBlock{}
		for _, b := range blocks {
			switch b.verb {
			case "default":
				defaults[b.table] = b
			case "given":
				fresh[b.table] = append(fresh[b.table], b)
			}
		}
		for table, blocks := range fresh {
			given[table] = blocks
		}
	}
	for table, blocks := range given {
		if table == "run" {
			setRun(ctx, t, l, blocks[0])
			continue
		}
		for _, b := range blocks {
			for _, row := range b.rows {
				insertTallyRow(ctx, t, l, b, row, defaults[table])
			}
		}
	}
	require.NoError(t, l.Exec(ctx, `update passes set ended_at = coalesce(ended_at, began_at + interval 30 minute),
		pass_key = coalesce('id:' || pass_id, 'at:' || truck_id || '@' || strftime(began_at, '%Y-%m-%dT%H:%M:%SZ'))`))
}

// setRun changes settings of the one row of run.
func setRun(ctx context.Context, t *testing.T, l *Ledger, b tallyBlock) {
	t.Helper()
	for i, column := range b.columns {
		require.NoError(t, l.Exec(ctx, fmt.Sprintf("update run set %s = %s", column, quoteText(b.rows[0][i]))))
	}
}

// insertTallyRow inserts one row; an empty cell is missing, and a column that the row does not name has the default.
func insertTallyRow(ctx context.Context, t *testing.T, l *Ledger, b tallyBlock, row []string, defaults tallyBlock) {
	t.Helper()
	cells := map[string]string{}
	for i, column := range defaults.columns {
		cells[column] = defaults.rows[0][i]
	}
	for i, column := range b.columns {
		cells[column] = row[i]
	}
	var names, values []string
	for column, cell := range cells {
		names = append(names, quoteName(column))
		if cell == "" {
			values = append(values, "null")
		} else {
			values = append(values, quoteText(minuteOnly.ReplaceAllString(cell, "${1}:00Z")))
		}
	}
	statement := fmt.Sprintf("insert into %s (%s) values (%s)",
		quoteName(b.table), strings.Join(names, ", "), strings.Join(values, ", "))
	require.NoError(t, l.Exec(ctx, statement), statement)
}

// caseTables are tables that cases show with the columns of another.
var caseTables = map[string]string{
	"pass_storms":      "pass_storms inner join (select pass_no, pass_key from passes) using (pass_no)",
	"pass_weather":     "pass_weather inner join (select pass_no, pass_key from passes) using (pass_no)",
	"rounds":           "rounds inner join storm_passes using (pass_no)",
	"pass_corrections": "pass_corrections inner join (select pass_no, pass_key from passes) using (pass_no)",
	"pass_costs":       "pass_costs inner join (select pass_no, pass_key from passes) using (pass_no)",
}

// lastOrder is the order of a query's rows.
var lastOrder = regexp.MustCompile(`(?m)^order by [^;]*;\n\z`)

// isOrdered tells whether the query of a table says in which order its rows stand.
func isOrdered(t *testing.T, table string) bool {
	t.Helper()
	names, err := fs.Glob(queries.FS, "[0-9][0-9]_"+table+".sql")
	require.NoError(t, err)
	if len(names) == 0 {
		return false // made in Go
	}
	text, err := queries.FS.ReadFile(names[0])
	require.NoError(t, err)
	return lastOrder.Match(text)
}

// readCells reads columns of a table as text, in the table's own order; a missing value is "".
func readCells(ctx context.Context, t *testing.T, l *Ledger, table string, columns []string) [][]string {
	t.Helper()
	quoted := make([]string, len(columns))
	for i, column := range columns {
		quoted[i] = "coalesce(cast(" + quoteName(column) + " as varchar), '')"
	}
	type joined struct {
		Cells string `db:"cells"`
	}
	const mark = "\x1f"
	rows, err := readTable[joined](ctx, l, fmt.Sprintf("select concat_ws('%s', %s) as cells from %s", mark,
		strings.Join(quoted, ", "), cmp.Or(caseTables[table], quoteName(table))))
	require.NoError(t, err)
	out := make([][]string, len(rows))
	for i, row := range rows {
		out[i] = strings.Split(row.Cells, mark)
	}
	return out
}

var (
	minuteOnly = regexp.MustCompile(`^(\d{4}-\d\d-\d\d \d\d:\d\d)Z$`)
	utcSuffix  = regexp.MustCompile(`(\d\d:\d\d)(?::00|(:\d\d))\+00$`)
)

// sameCell compares numbers at a billionth relative, so that hand arithmetic may stop at ten digits, and anything else as text.
func sameCell(want, got string) bool {
	if want == got {
		return true
	}
	w, wantErr := strconv.ParseFloat(want, 64)
	g, gotErr := strconv.ParseFloat(got, 64)
	if wantErr == nil && gotErr == nil {
		return math.Abs(w-g) <= 1e-9*math.Max(math.Abs(w), math.Abs(g))
	}
	return utcSuffix.ReplaceAllString(got, "${1}${2}Z") == want
}

// sortKey is a row as cases write it.
func sortKey(row []string) string {
	cells := slices.Clone(row)
	for i, cell := range cells {
		cells[i] = utcSuffix.ReplaceAllString(cell, "${1}${2}Z")
	}
	return strings.Join(cells, "\x1f")
}

func assertBlock(ctx context.Context, t *testing.T, l *Ledger, b tallyBlock) {
	t.Helper()
	got := readCells(ctx, t, l, b.table, b.columns)
	wanted := slices.Clone(b.rows)
	if !isOrdered(t, b.table) {
		for _, rows := range [][][]string{got, wanted} {
			slices.SortFunc(rows, func(x, y []string) int { return strings.Compare(sortKey(x), sortKey(y)) })
		}
	}
	if !assert.Len(t, got, len(b.rows), "%s: rows %v", b.table, got) {
		return
	}
	for i, row := range wanted {
		for j, want := range row {
			assert.True(t, sameCell(want, got[i][j]), "%s row %d, %s: want %q, got %q (row %v)",
				b.table, i+1, b.columns[j], want, got[i][j], got[i])
		}
	}
}

// openTallyCase tallies what base.txt and the case give.
func openTallyCase(t *testing.T, path string) (*Ledger, []tallyBlock) {
	t.Helper()
	l := openTestLedger(t)
	own := readTallyCase(t, path)
	giveTallyRows(t.Context(), t, l, readTallyCase(t, filepath.Join(caseFolder, "base.txt")), own)
	require.NoError(t, tally(t.Context(), l))
	return l, own
}

// TestTallyCases holds every query against rows worked by hand from the definitions.
func TestTallyCases(t *testing.T) {
	paths, err := filepath.Glob(caseFolder + "/*/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		name, err := filepath.Rel(caseFolder, path)
		require.NoError(t, err)
		t.Run(strings.TrimSuffix(name, ".txt"), func(t *testing.T) {
			t.Parallel() // each has a ledger of its own
			l, blocks := openTallyCase(t, path)
			expected := 0
			for _, b := range blocks {
				if b.verb == "expect" {
					expected++
					assertBlock(t.Context(), t, l, b)
				}
			}
			assert.Positive(t, expected, "a case without an expect block")
		})
	}
}

// TestEveryTallyQueryHasCases asks for at least one case worked by hand of every query from storms to pages.
func TestEveryTallyQueryHasCases(t *testing.T) {
	names := tallyQueries(t)
	require.NotEmpty(t, names)
	for _, name := range append(names, "36_rounds.sql") {
		_, table, _ := strings.Cut(strings.TrimSuffix(name, ".sql"), "_")
		cases, err := filepath.Glob(filepath.Join(caseFolder, table, "*.txt"))
		require.NoError(t, err)
		assert.NotEmpty(t, cases, "%s has no case in testdata/queries/%s", name, table)
	}
}

var (
	headerKeys  = []string{"grain", "reads", "units", "empty", "formula"}
	tableRead   = regexp.MustCompile(`\b(?:from|join)\s+([a-z_]+)\b`)
	lineComment = regexp.MustCompile(`(?m)^--.*$`)
	namedStep   = regexp.MustCompile(`(?m)^(?:with )?([a-z_]+) as \($`)
)

// headerOf reads the header comment of a query: key to value, continued lines joined; "" holds the first line.
func headerOf(text string) map[string]string {
	header := map[string]string{}
	key := ""
	for _, line := range strings.Split(text, "\n") {
		rest, isComment := strings.CutPrefix(line, "--")
		if !isComment {
			break
		}
		if name, value, found := strings.Cut(strings.TrimSpace(rest), ":"); found && strings.HasPrefix(rest, " ") &&
			!strings.HasPrefix(rest, "   ") && !strings.Contains(name, " ") {
			if len(header) == 0 {
				header[""] = name
			}
			key = name
			header[key] = strings.TrimSpace(value)
			continue
		}
		header[key] += " " + strings.TrimSpace(rest)
	}
	return header
}

// TestTallyQueryHeaders holds every header against the text below it.
func TestTallyQueryHeaders(t *testing.T) {
	names := tallyQueries(t)
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			raw, err := queries.FS.ReadFile(name)
			require.NoError(t, err)
			text := string(raw)
			header := headerOf(text)
			_, table, _ := strings.Cut(strings.TrimSuffix(name, ".sql"), "_")
			assert.Equal(t, table, header[""])
			for _, key := range headerKeys {
				assert.NotEmpty(t, header[key], key)
			}
			assert.LessOrEqual(t, strings.Count(text, "\n"), 120)
			assert.Equal(t, 1, strings.Count(lineComment.ReplaceAllString(text, ""), ";\n"), "one statement")
			assert.Regexp(t, "create or replace (table|view) "+table+" as\n", text)
			assert.ElementsMatch(t, strings.Split(header["reads"], ", "), tablesRead(lineComment.ReplaceAllString(text, "")))
		})
	}
}

// tablesRead lists the tables after from and join that are no step of the query itself.
func tablesRead(text string) []string {
	steps := map[string]bool{}
	for _, match := range namedStep.FindAllStringSubmatch(text, -1) {
		steps[match[1]] = true
	}
	seen := map[string]bool{}
	var tables []string
	for _, match := range tableRead.FindAllStringSubmatch(text, -1) {
		if name := match[1]; !steps[name] && !seen[name] {
			seen[name] = true
			tables = append(tables, name)
		}
	}
	return tables
}

// assertGrains holds every table of the tally against the grain its header names: no two rows share it.
func assertGrains(ctx context.Context, t *testing.T, l *Ledger) {
	t.Helper()
	names := tallyQueries(t)
	for _, name := range names {
		raw, err := queries.FS.ReadFile(name)
		require.NoError(t, err)
		header := headerOf(string(raw))
		_, grain, found := strings.Cut(header["grain"], "one row per ")
		require.True(t, found, "%s: grain %q", name, header["grain"])
		type counted struct {
			Rows  int64 `db:"n"`
			Grain int64 `db:"g"`
		}
		got, err := readTable[counted](ctx, l, fmt.Sprintf(
			"select count(*) as n, count(distinct (%s)) as g from %s", grain, quoteName(header[""])))
		require.NoError(t, err, name)
		require.Len(t, got, 1)
		assert.Equal(t, got[0].Rows, got[0].Grain, "%s: two rows with one %s", name, grain)
	}
}
