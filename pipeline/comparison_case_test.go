package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/ledger"
)

var tableFirstColumn = map[string][]string{"comparison": {"season"}, "storm_reasons": {"storm_id"}, "used_rates": {"material_id"},
	"claims": {"season"}, "beside_salt": {"season"}, "plans": {"design"}, "route_switches": {"route_id"}}

// TestComparisonRunsOnNothing: no storm, no row, no error.
func TestComparisonRunsOnNothing(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tallyAll(t.Context(), l))
	for _, name := range []string{"comparison", "storm_reasons", "used_rates", "claims", "beside_salt", "plans", "route_switches"} {
		assert.Empty(t, readCells(t.Context(), t, l, name, tableFirstColumn[name]), name)
	}
}

// TestComparisonExportsHaveTheContractsColumns: in order.
func TestComparisonExportsHaveTheContractsColumns(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tallyAll(t.Context(), l))
	type column struct {
		Name string `db:"name"`
		Type string `db:"type"`
	}
	types := map[string]string{"string": "VARCHAR", "number": "DOUBLE", "integer": "BIGINT"}
	for _, name := range []string{"comparison_seasons", "comparison_storms", "beside_salt", "claims", "plans"} {
		got, err := ledger.ReadTable[column](t.Context(), l, "select name, type from pragma_table_info('"+name+"') order by cid")
		require.NoError(t, err)
		contract, err := contract.LoadContract("exports", name)
		require.NoError(t, err)
		require.Len(t, got, len(contract.Fields), name)
		for i, f := range contract.Fields {
			assert.Equal(t, f.Name, got[i].Name, name)
			assert.Equal(t, types[f.Type], got[i].Type, "%s: %s", name, f.Name)
		}
	}
}
