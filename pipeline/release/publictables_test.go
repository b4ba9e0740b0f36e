package release

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// TestOnlyWhatIsListedIsPublished: of an export whose contract says nothing no file is written, and of a column that it does not call
// public no cell.
func TestOnlyWhatIsListedIsPublished(t *testing.T) {
	l, err := ledger.Open(t.Context(), filepath.Join(t.TempDir(), "ledger.duckdb"))
	require.NoError(t, err)
	defer func() { assert.NoError(t, l.Close()) }()
	require.NoError(t, l.Exec(t.Context(), "create table rosters as select 'c1' as crew_id, 'Ada' as driver"))
	for _, mode := range []string{rows.CrewPagesAll, rows.CrewPagesOwn, rows.CrewPagesNone} {
		v := &publicView{publish: district.Publish{CrewPages: mode}}
		added := &contract.Contract{Name: "rosters", PrimaryKey: []string{"crew_id"},
			Fields: []contract.Field{{Name: "crew_id", Type: "string"}, {Name: "driver", Type: "string"}}}
		dir := t.TempDir()
		require.NoError(t, writeExports(t.Context(), l, disk.Layer{}, dir, []*contract.Contract{added}, v.source))
		files, err := os.ReadDir(dir)
		require.NoError(t, err)
		assert.Empty(t, files, mode)

		added.Fields[0].Public = "yes"
		require.NoError(t, writeExports(t.Context(), l, disk.Layer{}, dir, []*contract.Contract{added}, v.source))
		text, err := os.ReadFile(filepath.Join(dir, "rosters.csv"))
		require.NoError(t, err)
		assert.Equal(t, "crew_id,driver\nc1,\n", string(text), mode)
	}
}

// TestEveryPublicWordHasItsRule: a column that is public where nothing is withheld stands in a table that has such a rule, and no rule is
// without a column.
func TestEveryPublicWordHasItsRule(t *testing.T) {
	ruled := map[[2]string]bool{}
	for _, r := range publicRules {
		ruled[[2]string{r.table, r.figures}] = true
		assert.NotEmpty(t, r.columns(), "%s: %s", r.table, r.figures)
	}
	require.Greater(t, len(ruled), 20)
	for _, c := range contract.Exports() {
		if !slices.ContainsFunc(c.Fields, func(f contract.Field) bool { return f.Public != "" }) {
			continue // never published
		}
		for _, f := range c.Fields {
			assert.True(t, f.Public == "yes" || ruled[[2]string{c.Name, f.Public}], "%s.%s: %q", c.Name, f.Name, f.Public)
		}
	}
}
