package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/ledger"
)

var tableFirstColumn = map[string][]string{"comparison": {"season"}, "storm_reasons": {"storm_id"}, "used_rates": {"material_id"}}

// TestComparisonRunsOnNothing: no storm, no row, no error.
func TestComparisonRunsOnNothing(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tallyAll(t.Context(), l))
	for _, name := range []string{"comparison", "storm_reasons", "used_rates"} {
		assert.Empty(t, readCells(t.Context(), t, l, name, tableFirstColumn[name]), name)
	}
}

// TestComparisonExportHasTheContractsColumns: comparison's columns are those of its contract, in order.
func TestComparisonExportHasTheContractsColumns(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tallyAll(t.Context(), l))
	type column struct {
		Name string `db:"name"`
		Type string `db:"type"`
	}
	got, err := ledger.ReadTable[column](t.Context(), l, "select name, type from pragma_table_info('comparison') order by cid")
	require.NoError(t, err)
	contract, err := contract.LoadContract("exports", "comparison")
	require.NoError(t, err)
	require.Len(t, got, len(contract.Fields))
	types := map[string]string{"string": "VARCHAR", "number": "DOUBLE", "integer": "BIGINT"}
	for i, f := range contract.Fields {
		assert.Equal(t, f.Name, got[i].Name)
		assert.Equal(t, types[f.Type], got[i].Type, f.Name)
	}
}
