package pipeline

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/queries"
)

// comparisonFolder holds a folder per table of the comparison, with cases in the form of caseFolder and base.txt there.
const comparisonFolder = "../testdata/comparison"

// openComparisonCase tallies and compares what base.txt and the case give. Rows of learning_residuals stand for the learning fit's.
func openComparisonCase(t *testing.T, path string) (*Ledger, []tallyBlock) {
	t.Helper()
	ctx := t.Context()
	l := openTestLedger(t)
	var loaded, fitted, own []tallyBlock
	for _, b := range readTallyCase(t, path) {
		own = append(own, b)
		if b.table == "learning_residuals" {
			fitted = append(fitted, b)
		} else {
			loaded = append(loaded, b)
		}
	}
	giveTallyRows(ctx, t, l, readTallyCase(t, filepath.Join(caseFolder, "base.txt")), loaded)
	require.NoError(t, tally(ctx, l))
	for _, b := range fitted {
		require.NoError(t, ensureLearningResiduals(ctx, l))
		for _, row := range b.rows {
			insertTallyRow(ctx, t, l, b, row, tallyBlock{})
		}
	}
	require.NoError(t, tallyComparison(ctx, l, comparisonSettings()))
	return l, own
}

// comparisonSettings are the defaults.
func comparisonSettings() *Settings {
	return defaultSettings()
}

// TestComparisonCases holds every query of the comparison against rows worked by hand from the definitions.
func TestComparisonCases(t *testing.T) {
	paths, err := filepath.Glob(comparisonFolder + "/*/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		name, err := filepath.Rel(comparisonFolder, path)
		require.NoError(t, err)
		t.Run(strings.TrimSuffix(name, ".txt"), func(t *testing.T) {
			l, blocks := openComparisonCase(t, path)
			expected := 0
			for _, b := range blocks {
				if b.verb == "expect" {
					expected++
					assertBlock(t.Context(), t, l, b)
				}
			}
			assert.Positive(t, expected, "a case without an expect block")
			assertComparisonGrains(t.Context(), t, l)
		})
	}
}

// comparisonQueries lists the queries of the comparison.
func comparisonQueries(t *testing.T) []string {
	t.Helper()
	names, err := queryFiles("85", "89")
	require.NoError(t, err)
	require.Len(t, names, 6)
	return names
}

func TestEveryComparisonQueryHasCases(t *testing.T) {
	for _, name := range comparisonQueries(t) {
		_, table, _ := strings.Cut(strings.TrimSuffix(name, ".sql"), "_")
		cases, err := filepath.Glob(filepath.Join(comparisonFolder, table, "*.txt"))
		require.NoError(t, err)
		assert.NotEmpty(t, cases, "%s has no case in %s/%s", name, comparisonFolder, table)
	}
}

// TestComparisonQueryHeaders holds every header against the text below it.
func TestComparisonQueryHeaders(t *testing.T) {
	for _, name := range comparisonQueries(t) {
		t.Run(name, func(t *testing.T) {
			raw, err := queries.FS.ReadFile(name)
			require.NoError(t, err)
			header := headerOf(string(raw))
			_, table, _ := strings.Cut(strings.TrimSuffix(name, ".sql"), "_")
			assert.Equal(t, table, header[""])
			for _, key := range headerKeys {
				assert.NotEmpty(t, header[key], key)
			}
			assert.LessOrEqual(t, strings.Count(string(raw), "\n"), 120)
			text := lineComment.ReplaceAllString(string(raw), "")
			assert.Equal(t, 1, strings.Count(text, ";\n"), "one statement")
			assert.Contains(t, text, "create or replace table "+table+" as\n")
			assert.ElementsMatch(t, strings.Split(header["reads"], ", "), tablesRead(text))
		})
	}
}

// assertComparisonGrains holds every table against the grain its header names.
func assertComparisonGrains(ctx context.Context, t *testing.T, l *Ledger) {
	t.Helper()
	for _, name := range comparisonQueries(t) {
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

var tableFirstColumn = map[string][]string{"comparison": {"season"}, "storm_reasons": {"storm_id"}, "used_rates": {"material_id"}}

// TestComparisonRunsOnNothing: no storm, no row, no error.
func TestComparisonRunsOnNothing(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tally(t.Context(), l))
	require.NoError(t, tallyComparison(t.Context(), l, comparisonSettings()))
	for _, name := range []string{"comparison", "storm_reasons", "used_rates"} {
		assert.Empty(t, readCells(t.Context(), t, l, name, tableFirstColumn[name]), name)
	}
}

// TestComparisonExportHasTheContractsColumns: comparison's columns are those of its contract, in order.
func TestComparisonExportHasTheContractsColumns(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tally(t.Context(), l))
	require.NoError(t, tallyComparison(t.Context(), l, comparisonSettings()))
	type column struct {
		Name string `db:"name"`
		Type string `db:"type"`
	}
	got, err := readTable[column](t.Context(), l, "select name, type from pragma_table_info('comparison') order by cid")
	require.NoError(t, err)
	contract, err := LoadContract("exports", "comparison")
	require.NoError(t, err)
	require.Len(t, got, len(contract.Fields))
	types := map[string]string{"string": "VARCHAR", "number": "DOUBLE", "integer": "BIGINT"}
	for i, f := range contract.Fields {
		assert.Equal(t, f.Name, got[i].Name)
		assert.Equal(t, types[f.Type], got[i].Type, f.Name)
	}
}
