package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/queries"
	"lanetally/schemas"
)

// wholeNight is every step, the gate's too.
func wholeNight() []step { return stepsOf(stretchTell, stretchGate) }

// tables names all that the step makes.
func (s step) tables() []string { return append([]string{s.table}, s.also...) }

// queryText is the query of a step.
func queryText(t *testing.T, s step) string {
	t.Helper()
	text, err := queries.FS.ReadFile(s.query)
	require.NoError(t, err)
	return string(text)
}

// readsOf names the tables that the step reads.
func readsOf(t *testing.T, s step) []string {
	t.Helper()
	if s.query == "" {
		return s.reads
	}
	return strings.Split(headerOf(queryText(t, s))["reads"], ", ")
}

// loadedTables names the tables that stand before the first step: those that loading fills, and what is kept of the release before.
func loadedTables(t *testing.T) []string {
	t.Helper()
	files, err := fs.Glob(schemas.FS, "tables/*.sql")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for i, file := range files {
		files[i] = strings.TrimSuffix(strings.TrimPrefix(file, "tables/"), ".sql")
	}
	return files
}

// queryNames lists the files of queries/.
func queryNames(t *testing.T) []string {
	t.Helper()
	names, err := fs.Glob(queries.FS, "*.sql")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	return names
}

// TestEveryQueryHasAPlaceInTheOrder: no query stands outside the stretches, none twice.
func TestEveryQueryHasAPlaceInTheOrder(t *testing.T) {
	var placed []string
	for _, s := range wholeNight() {
		assert.NotEqual(t, s.query == "", s.make == nil, "%s is a query or a function", s.table)
		if s.query != "" {
			placed = append(placed, s.query)
		}
	}
	slices.Sort(placed)
	assert.Equal(t, queryNames(t), placed)
}

// TestStretchesAreThoseOfTheOrder: a stretch is walked whole, and stretches from one to another are those between.
func TestStretchesAreThoseOfTheOrder(t *testing.T) {
	count := 0
	for i, part := range nightOrder {
		assert.NotEmpty(t, part.steps, part.name)
		assert.Len(t, stepsOf(part.name, part.name), len(part.steps), part.name)
		count += len(part.steps)
		assert.Len(t, stepsOf(nightOrder[0].name, nightOrder[i].name), count, part.name)
	}
	assert.Len(t, wholeNight(), count)
}

// TestStepsReadWhatStepsBeforeMade: and every table is made once.
func TestStepsReadWhatStepsBeforeMade(t *testing.T) {
	stands := map[string]bool{}
	for _, table := range loadedTables(t) {
		stands[table] = true
	}
	for _, s := range wholeNight() {
		for _, read := range readsOf(t, s) {
			assert.True(t, stands[read], "%s reads %s, which no step before it makes", s.table, read)
		}
		for _, table := range s.tables() {
			assert.False(t, stands[table], "%s is made twice", table)
			stands[table] = true
		}
	}
}

// tablesOf names the tables and views of a ledger.
func tablesOf(ctx context.Context, t *testing.T, l *ledger.Ledger) map[string]bool {
	t.Helper()
	rows, err := ledger.ReadTable[struct {
		Name string `db:"table_name"`
	}](ctx, l, "select distinct table_name from duckdb_columns() where not internal")
	require.NoError(t, err)
	names := map[string]bool{}
	for _, row := range rows {
		names[row.Name] = true
	}
	return names
}

// errUndo rolls a transaction back.
var errUndo = errors.New("undo")

// TestStepsInGoReadAndMakeWhatTheyDeclare: each runs where only what it declares stands, fails where any of that is missing, and leaves
// the tables that it declares and no others.
func TestStepsInGoReadAndMakeWhatTheyDeclare(t *testing.T) {
	ctx := t.Context()
	l := openTinyDistrict(ctx, t)
	settings := testSettings("America/Denver")
	ran := 0
	for _, s := range wholeNight() {
		if s.query != "" {
			continue
		}
		ran++
		isKept := func(table string) bool { return slices.Contains(s.reads, table) }
		tryWithout := func(missing string) (stands map[string]bool, err error) {
			undone := l.InTx(ctx, func() error {
				for table := range tablesOf(ctx, t, l) {
					if !isKept(table) || table == missing {
						dropTable(ctx, t, l, table)
					}
				}
				err = s.run(ctx, l, settings)
				if err == nil {
					stands = tablesOf(ctx, t, l)
				}
				return errUndo
			})
			require.ErrorIs(t, undone, errUndo)
			return stands, err
		}
		stands, err := tryWithout("")
		require.NoError(t, err, s.table)
		for table := range stands {
			assert.True(t, isKept(table) || slices.Contains(s.tables(), table), "%s leaves %s", s.table, table)
		}
		assert.Len(t, stands, len(s.reads)+len(s.tables()), s.table)
		for _, read := range s.reads {
			_, err := tryWithout(read)
			assert.Error(t, err, "%s declares that it reads %s", s.table, read)
		}
	}
	assert.Positive(t, ran)
}

func dropTable(ctx context.Context, t *testing.T, l *ledger.Ledger, table string) {
	t.Helper()
	views, err := ledger.ReadTable[struct {
		N int `db:"n"`
	}](ctx, l, "select count(*) as n from duckdb_views() where view_name = ?", table)
	require.NoError(t, err)
	kind := "table"
	if views[0].N > 0 {
		kind = "view"
	}
	require.NoError(t, l.Exec(ctx, "drop "+kind+" "+ledger.QuoteName(table)))
}

var (
	headerKeys  = []string{"grain", "reads", "units", "empty", "formula"}
	tableRead   = regexp.MustCompile(`\b(distinct )?(?:from|join)\s+([a-z_]+)\b(\()?`)
	sqlText     = regexp.MustCompile(`'(?:[^']|'')*'`)
	lineComment = regexp.MustCompile(`(?m)--.*$`)
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

// TestQueryHeaders holds every header against the text below it.
func TestQueryHeaders(t *testing.T) {
	for _, s := range wholeNight() {
		if s.query == "" {
			continue
		}
		t.Run(s.query, func(t *testing.T) {
			text := queryText(t, s)
			header := headerOf(text)
			assert.Equal(t, s.table, header[""])
			for _, key := range headerKeys {
				assert.NotEmpty(t, header[key], key)
			}
			statement := sqlText.ReplaceAllString(lineComment.ReplaceAllString(text, ""), "''")
			assert.Equal(t, 1, strings.Count(statement, ";\n"), "one statement")
			assert.Regexp(t, "create or replace (table|view) "+s.table+" as\n", statement)
			assert.ElementsMatch(t, strings.Split(header["reads"], ", "), tablesRead(statement))
		})
	}
}

// tablesRead lists the tables after from and join that are no step of the query itself.
func tablesRead(statement string) []string {
	steps := map[string]bool{}
	for _, match := range namedStep.FindAllStringSubmatch(statement, -1) {
		steps[match[1]] = true
	}
	var tables []string
	for _, match := range tableRead.FindAllStringSubmatch(statement, -1) {
		isComparison, isFunction := match[1] != "", match[3] != ""
		if name := match[2]; !isComparison && !isFunction && !steps[name] && !slices.Contains(tables, name) {
			tables = append(tables, name)
		}
	}
	return tables
}

// assertGrains holds the tables of queries against the grain their headers name: no two rows share it.
func assertGrains(ctx context.Context, t *testing.T, l *ledger.Ledger, steps []step) {
	t.Helper()
	for _, s := range steps {
		if s.query == "" {
			continue
		}
		grain := headerOf(queryText(t, s))["grain"]
		type counted struct {
			Rows  int64 `db:"n"`
			Grain int64 `db:"g"`
		}
		places := "1"
		if grain != "one row" {
			columns, found := strings.CutPrefix(grain, "one row per ")
			require.True(t, found, "%s: grain %q", s.query, grain)
			quoted := strings.Split(columns, ", ")
			for i, column := range quoted {
				quoted[i] = ledger.QuoteName(strings.Trim(column, `"`))
			}
			places = "row(" + strings.Join(quoted, ", ") + ")"
		}
		got, err := ledger.ReadTable[counted](ctx, l,
			fmt.Sprintf("select count(*) as n, count(distinct %s) as g from %s", places, ledger.QuoteName(s.table)))
		require.NoError(t, err, s.query)
		require.Len(t, got, 1)
		assert.Equal(t, got[0].Grain, got[0].Rows, "%s: two rows with one %s", s.query, grain)
	}
}

// TestGrainsOfANight: on the demo each table has one row per what its header names; the cases hold the small tables of positions to theirs.
func TestGrainsOfANight(t *testing.T) {
	l := runDemoNight(t).ledger(t)
	for _, table := range []string{"passes", "rows_told", "repeated_rows", "observations", "quarantine", "storm_routes"} {
		rows, err := ledger.ReadTable[struct {
			N int `db:"n"`
		}](t.Context(), l, "select count(*) as n from "+table)
		require.NoError(t, err)
		assert.Greater(t, rows[0].N, 1, table)
	}
	assertGrains(t.Context(), t, l, wholeNight())
}

// tellsCode finds where a query tells by a code.
var tellsCode = regexp.MustCompile(`'(\w+)'( as (?:finding|reason)_code\b)|'code': '(\w+)'`)

// TestEveryCodeHasWords: a code that a query tells by stands in the table of codes.
func TestEveryCodeHasWords(t *testing.T) {
	known := map[string]bool{}
	for _, w := range rows.AllCodeWords() {
		known[w.Code] = true
	}
	told := 0
	for _, s := range wholeNight() {
		if s.query == "" {
			continue
		}
		for _, found := range tellsCode.FindAllStringSubmatch(queryText(t, s), -1) {
			told++
			assert.True(t, known[found[1]+found[3]], "%s: %s", s.query, found[0])
		}
	}
	assert.Greater(t, told, 30)
}
