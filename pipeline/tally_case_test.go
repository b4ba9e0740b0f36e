package pipeline

import (
	"cmp"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
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

// giveTallyRows fills tables and names them: what the case gives of a table replaces what the base gives of it. A table that a step
// makes has the columns that the step gives it.
func giveTallyRows(ctx context.Context, t *testing.T, l *ledger.Ledger, base, own []tallyBlock) (names []string) {
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
		maps.Copy(given, fresh)
	}
	stands := tablesOf(ctx, t, l)
	for table, blocks := range given {
		names = append(names, table)
		if table == "run" {
			setRun(ctx, t, l, blocks[0])
			continue
		}
		if !stands[table] {
			shapes, err := tableShapes()
			require.NoError(t, err)
			require.Contains(t, shapes, table, "no table of a night")
			require.NoError(t, l.Exec(ctx, shapes[table]))
		}
		for _, b := range blocks {
			for _, row := range b.rows {
				insertTallyRow(ctx, t, l, b, row, defaults[table])
			}
		}
	}
	require.NoError(t, l.Exec(ctx, `update passes set ended_at = coalesce(ended_at, began_at + interval 30 minute),
		pass_key = coalesce('id:' || pass_id, 'at:' || truck_id || '@' || strftime(began_at, '%Y-%m-%dT%H:%M:%SZ'))`))
	return names
}

// tableShapes gives the DDL of each table that a step makes, from a night over nothing.
var tableShapes = sync.OnceValues(func() (shapes map[string]string, err error) {
	ctx := context.Background()
	l, err := ledger.Open(ctx, "")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	if err := fillLoaded(ctx, l, "UTC"); err != nil {
		return nil, err
	}
	if err := walk(ctx, l, testSettings("UTC"), stretchTell, stretchGate); err != nil {
		return nil, err
	}
	type shape struct {
		Table   string `db:"table_name"`
		Columns string `db:"columns"`
	}
	rows, err := ledger.ReadTable[shape](ctx, l, `
		select table_name, string_agg('"' || column_name || '" ' || data_type, ', ' order by column_index) as columns
		from duckdb_columns() where not internal group by table_name`)
	shapes = map[string]string{}
	for _, row := range rows {
		shapes[row.Table] = "create table " + ledger.QuoteName(row.Table) + " (" + row.Columns + ")"
	}
	return shapes, err
})

// stepsTo gives, in order, the steps that make the wanted tables from those that stand.
func stepsTo(t *testing.T, wanted []string, stands map[string]bool) (steps []step) {
	t.Helper()
	needed := map[string]bool{}
	for _, table := range wanted {
		needed[table] = true
	}
	for _, s := range slices.Backward(wholeNight()) {
		if !slices.ContainsFunc(s.tables(), func(table string) bool { return needed[table] }) {
			continue
		}
		steps = append(steps, s)
		for _, read := range readsOf(t, s) {
			needed[read] = needed[read] || !stands[read]
		}
	}
	slices.Reverse(steps)
	return steps
}

// setRun changes settings of the one row of run.
func setRun(ctx context.Context, t *testing.T, l *ledger.Ledger, b tallyBlock) {
	t.Helper()
	for i, column := range b.columns {
		require.NoError(t, l.Exec(ctx, fmt.Sprintf("update run set %s = %s", column, ledger.QuoteText(b.rows[0][i]))))
	}
}

// insertTallyRow inserts one row; an empty cell is missing, and a column that the row does not name has the default.
func insertTallyRow(ctx context.Context, t *testing.T, l *ledger.Ledger, b tallyBlock, row []string, defaults tallyBlock) {
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
		names = append(names, ledger.QuoteName(column))
		if cell == "" {
			values = append(values, "null")
		} else {
			values = append(values, ledger.QuoteText(minuteOnly.ReplaceAllString(cell, "${1}:00Z")))
		}
	}
	statement := fmt.Sprintf("insert into %s (%s) values (%s)",
		ledger.QuoteName(b.table), strings.Join(names, ", "), strings.Join(values, ", "))
	require.NoError(t, l.Exec(ctx, statement), statement)
}

// caseTables are tables that cases show with the columns of another.
var caseTables = map[string]string{
	"pass_reaches":     "pass_reaches inner join (select pass_no, pass_key from passes) using (pass_no)",
	"pass_storms":      "pass_storms inner join (select pass_no, pass_key from passes) using (pass_no)",
	"pass_weather":     "pass_weather inner join (select pass_no, pass_key from passes) using (pass_no)",
	"rounds":           "rounds inner join storm_passes using (pass_no)",
	"pass_corrections": "pass_corrections inner join (select pass_no, pass_key from passes) using (pass_no)",
}

// caseSource is what cases show of a table; of a judged feed its faults too, in columns named as those of the rows told.
func caseSource(table string) string {
	if strings.HasSuffix(table, "_judged") {
		return "(select *, fault.column as fault_column, " +
			"fault.code as fault_code, fault.found as fault_found, fault.wanted as fault_wanted from " + table + ")"
	}
	return cmp.Or(caseTables[table], ledger.QuoteName(table))
}

// lastOrder is the order of a query's rows.
var lastOrder = regexp.MustCompile(`(?m)^order by [^;]*;\n\z`)

// isOrdered tells whether the query of a table says in which order its rows stand.
func isOrdered(t *testing.T, table string) bool {
	t.Helper()
	for _, s := range wholeNight() {
		if s.table == table && s.query != "" {
			return lastOrder.MatchString(queryText(t, s))
		}
	}
	return false // made in Go
}

// readCells reads columns of a table as text, in the table's own order; a missing value is "".
func readCells(ctx context.Context, t *testing.T, l *ledger.Ledger, table string, columns []string) [][]string {
	t.Helper()
	quoted := make([]string, len(columns))
	for i, column := range columns {
		quoted[i] = "coalesce(cast(" + ledger.QuoteName(column) + " as varchar), '')"
	}
	type joined struct {
		Cells string `db:"cells"`
	}
	const mark = "\x1f"
	rows, err := ledger.ReadTable[joined](ctx, l, fmt.Sprintf("select concat_ws('%s', %s) as cells from %s", mark,
		strings.Join(quoted, ", "), caseSource(table)))
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

func assertBlock(ctx context.Context, t *testing.T, l *ledger.Ledger, b tallyBlock) {
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

// openTallyCase runs the steps that lead from what base.txt and the case give to what the case expects, and gives the ledger and the
// steps. A table that is in force and neither given nor expected is empty.
func openTallyCase(t *testing.T, own []tallyBlock) (*ledger.Ledger, []step) {
	t.Helper()
	ctx := t.Context()
	l := openTestLedger(t)
	stands := map[string]bool{}
	for _, match := range tableMade.FindAllStringSubmatch(feedDDL, -1) {
		stands[match[1]] = true
	}
	for _, table := range giveTallyRows(ctx, t, l, readTallyCase(t, filepath.Join(caseFolder, "base.txt")), own) {
		stands[table] = true
	}
	var wanted []string
	for _, b := range own {
		if b.verb == "expect" {
			wanted = append(wanted, b.table)
			stands[b.table] = false
		}
	}
	require.NotEmpty(t, wanted, "a case without an expect block")
	steps := stepsTo(t, wanted, stands)
	for _, s := range steps {
		require.NoError(t, s.run(ctx, l, testSettings("America/Denver")))
	}
	return l, steps
}

// tableMade finds the tables of a DDL.
var tableMade = regexp.MustCompile(`(?m)^create or replace table ([a-z_]+) `)

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
			blocks := readTallyCase(t, path)
			l, steps := openTallyCase(t, blocks)
			for _, b := range blocks {
				if b.verb == "expect" {
					assertBlock(t.Context(), t, l, b)
				}
			}
			assertGrains(t.Context(), t, l, steps)
		})
	}
}

// madeFromMany are the tables of steps in Go that fits and draws fill: tests of their own hold these against simulations and other
// programs.
var madeFromMany = []string{"learning", "stock_outlook"}

// TestEveryStepHasCases asks for at least one case worked by hand of every table that a step makes, in which the table is expected.
func TestEveryStepHasCases(t *testing.T) {
	for _, s := range wholeNight() {
		cases, err := filepath.Glob(filepath.Join(caseFolder, s.table, "*.txt"))
		require.NoError(t, err)
		if slices.Contains(madeFromMany, s.table) {
			assert.Empty(t, cases, s.table)
			continue
		}
		isExpected := false
		for _, path := range cases {
			isExpected = isExpected || slices.ContainsFunc(readTallyCase(t, path), func(b tallyBlock) bool {
				return b.verb == "expect" && b.table == s.table
			})
		}
		assert.True(t, isExpected, "no case in testdata/queries/%s expects its rows", s.table)
	}
}
