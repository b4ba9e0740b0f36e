package pipeline

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// tinyFolder is a whole district small enough for the pencil; its README shows the arithmetic of expected/.
const tinyFolder = "../testdata/tiny"

// readTinyRows reads a CSV file as a block of given rows.
func readTinyRows(t *testing.T, path, table string) tallyBlock {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, records)
	return tallyBlock{table: table, columns: records[0], rows: records[1:]}
}

// openTinyDistrict loads a copy of the tiny district and tallies it.
func openTinyDistrict(ctx context.Context, t *testing.T) *ledger.Ledger {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(tinyFolder)))
	return tallyFolder(ctx, t, dir)
}

// tallyFolder loads a district folder into a ledger in memory and tallies it.
func tallyFolder(ctx context.Context, t *testing.T, dir string) *ledger.Ledger {
	t.Helper()
	settings, err := district.ReadSettings(filepath.Join(dir, "district.toml"))
	require.NoError(t, err)
	reference, err := district.ReadReference(dir, settings)
	require.NoError(t, err)
	l := openTestLedger(t)
	require.NoError(t, district.LoadReference(ctx, l, reference))
	require.NoError(t, district.LoadRun(ctx, l, settings))
	_, err = intake.LoadDeliveries(ctx, l, dir, settings, disk.Layer{}, nil)
	require.NoError(t, err)
	require.NoError(t, walk(ctx, l, settings, stretchTell, stretchTell))
	require.NoError(t, checkConservation(ctx, l))
	require.NoError(t, walk(ctx, l, settings, stretchStorms, stretchMoney))
	return l
}

// TestTinyDistrict holds the tally against the exports worked by hand in testdata/tiny/README.md.
func TestTinyDistrict(t *testing.T) {
	l := openTinyDistrict(t.Context(), t)
	for _, name := range []string{"storms", "storm_routes", "outside_storms", "crew_storms"} {
		t.Run(name, func(t *testing.T) {
			expected := readTinyRows(t, tinyFolder+"/expected/"+name+".csv", name)
			for i, row := range expected.rows {
				for j, cell := range row {
					if at, err := time.Parse(time.RFC3339, cell); err == nil {
						expected.rows[i][j] = at.Format("2006-01-02 15:04Z")
					}
				}
			}
			assertBlock(t.Context(), t, l, expected)
		})
	}
	assertGrains(t.Context(), t, l, stepsOf(stretchStorms, stretchMoney))
	flurries, err := ledger.ReadTable[struct {
		Flurries int `db:"flurries"`
	}](t.Context(), l, "select flurries from flurries")
	require.NoError(t, err)
	require.Len(t, flurries, 1)
	assert.Equal(t, 1, flurries[0].Flurries)
	set, err := ledger.ReadTable[struct {
		N int `db:"n"`
	}](t.Context(), l, "select count(*) as n from quarantine")
	require.NoError(t, err)
	assert.Zero(t, set[0].N, "nothing of the tiny district is set aside")
}

// TestTinyDistrictIsADistrict holds its reference tables and expected exports against their contracts.
func TestTinyDistrictIsADistrict(t *testing.T) {
	settings, err := district.ReadSettings(tinyFolder + "/district.toml")
	require.NoError(t, err)
	reference, err := district.ReadReference(tinyFolder, settings)
	require.NoError(t, err)
	assert.Empty(t, reference.Warnings)
	for _, name := range []string{"storms", "storm_routes", "outside_storms", "crew_storms"} {
		contract, err := contract.LoadContract("exports", name)
		require.NoError(t, err)
		var want []string
		for _, f := range contract.Fields {
			want = append(want, f.Name)
		}
		rows := readTinyRows(t, tinyFolder+"/expected/"+name+".csv", name)
		assert.Equal(t, strings.Join(want, ","), strings.Join(rows.columns, ","), name)
	}
}
