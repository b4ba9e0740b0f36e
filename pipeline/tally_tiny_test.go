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

// tinyInstants turns the local times of a block's column into UTC.
func tinyInstants(t *testing.T, b tallyBlock, columns ...string) {
	t.Helper()
	zone, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	for i, name := range b.columns {
		for _, column := range columns {
			if name != column {
				continue
			}
			for _, row := range b.rows {
				at, err := time.ParseInLocation("2006-01-02 15:04", row[i], zone)
				require.NoError(t, err)
				row[i] = at.UTC().Format("2006-01-02 15:04:05Z")
			}
		}
	}
}

// tinyTrace replaces the T of precip_in by 0, marked as a trace.
func tinyTrace(b tallyBlock) tallyBlock {
	at := 0
	for i, name := range b.columns {
		if name == "precip_in" {
			at = i
		}
	}
	b.columns = append(b.columns, "precip_is_trace")
	for i, row := range b.rows {
		trace := ""
		if row[at] == "T" {
			row[at], trace = "0", "true"
		}
		b.rows[i] = append(row, trace)
	}
	return b
}

// openTinyDistrict tallies the tiny district, with rows inserted in the order that pick gives.
func openTinyDistrict(ctx context.Context, t *testing.T, pick func(n int) []int) *Ledger {
	t.Helper()
	l := openTestLedger(t)
	createLoaded(ctx, t, l, "America/Denver")
	var blocks []tallyBlock
	for _, name := range []string{"zones", "stations", "routes", "crews", "materials", "prices"} {
		blocks = append(blocks, readTinyRows(t, filepath.Join(tinyFolder, "reference", name+".csv"), name))
	}
	passes := readTinyRows(t, tinyFolder+"/inbox/passes/2028-01.csv", "passes")
	tinyInstants(t, passes, "began_at", "ended_at")
	weather := readTinyRows(t, tinyFolder+"/inbox/weather/2028-01.csv", "observations")
	tinyInstants(t, weather, "observed_at")
	conditions := readTinyRows(t, tinyFolder+"/inbox/conditions/2028-01.csv", "conditions")
	tinyInstants(t, conditions, "observed_at")
	defaults := tallyBlock{columns: []string{"prior_acetate_storms"}, rows: [][]string{{"0"}}}
	for _, b := range append(blocks, passes, tinyTrace(weather), conditions) {
		for _, i := range pick(len(b.rows)) {
			if b.table == "crews" {
				fillEmpty(b, i, "prior_acetate_storms", defaults.rows[0][0])
			}
			insertTallyRow(ctx, t, l, b, b.rows[i], tallyBlock{})
		}
	}
	require.NoError(t, l.Exec(ctx, "update passes set pass_key = 'id:' || pass_id"))
	require.NoError(t, l.Exec(ctx, "insert into as_of select max(observed_at) from observations"))
	require.NoError(t, tally(ctx, l))
	return l
}

func fillEmpty(b tallyBlock, row int, column, value string) {
	for i, name := range b.columns {
		if name == column && b.rows[row][i] == "" {
			b.rows[row][i] = value
		}
	}
}

// inOrder is the order in which the files hold the rows.
func inOrder(n int) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	return order
}

// TestTinyDistrict holds the tally against the exports worked by hand in testdata/tiny/README.md.
func TestTinyDistrict(t *testing.T) {
	l := openTinyDistrict(t.Context(), t, inOrder)
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
	assertGrains(t.Context(), t, l)
}

// TestTinyDistrictIsADistrict holds its settings and reference tables against their contracts.
func TestTinyDistrictIsADistrict(t *testing.T) {
	settings, err := ReadSettings(tinyFolder + "/district.toml")
	require.NoError(t, err)
	reference, err := ReadReference(tinyFolder, settings)
	require.NoError(t, err)
	assert.Empty(t, reference.Warnings)
	for _, name := range []string{"passes", "weather", "conditions"} {
		contract, err := LoadContract("feeds", name)
		require.NoError(t, err)
		known := map[string]bool{}
		for _, f := range contract.Fields {
			known[f.Name] = true
		}
		rows := readTinyRows(t, tinyFolder+"/inbox/"+name+"/2028-01.csv", name)
		for _, column := range rows.columns {
			assert.True(t, known[column], "%s: %s", name, column)
		}
	}
	for _, name := range []string{"storms", "storm_routes", "outside_storms", "crew_storms"} {
		contract, err := LoadContract("exports", name)
		require.NoError(t, err)
		var want []string
		for _, f := range contract.Fields {
			want = append(want, f.Name)
		}
		rows := readTinyRows(t, tinyFolder+"/expected/"+name+".csv", name)
		assert.Equal(t, strings.Join(want, ","), strings.Join(rows.columns, ","), name)
	}
}
