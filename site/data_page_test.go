package site

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

// TestDataPageTellsChangesAndAcceptedDoubts: a figure that moved stands with both values and the delivery that moved it; a doubt that was
// let pass stands with its reason.
func TestDataPageTellsChangesAndAcceptedDoubts(t *testing.T) {
	data := madeDistrict()
	storm := data.Storms[0].StormID
	data.Changes = []rows.Change{{Export: "storm_routes", StormID: storm, RouteID: "R01", MaterialClass: "acetate", Form: "solid",
		Column: "applied_lb",
		Before: new("12000.0"), After: new("11500.0"), Cause: "passes/corrected.csv"},
		{Export: "storm_routes", StormID: storm, RouteID: "R01", Column: "regain_state", Before: new("open"), After: new("not bare")},
		{Export: "storm_routes", StormID: storm, RouteID: "R01", Column: "regain_h", After: new("3.5")},
		{Export: "storms", StormID: "gone-20290101", ZoneID: "z", Column: "storm", Before: new("2029-01-01 06:00:00+00")}}
	data.Accepted = []rows.Acceptance{{AcceptedAt: *data.AsOf, Reason: "scale was wrong",
		GateCause: rows.GateCause{Found: "season pounds fell by 7 %"}}}
	dir := t.TempDir()
	require.NoError(t, Build(dir, data))
	text, err := os.ReadFile(filepath.Join(dir, "data.html"))
	require.NoError(t, err)
	for _, want := range []string{"12,000.00", "11,500.00", "passes/corrected.csv", "lanes after it", ">open<", ">not\u00a0bare<",
		"hours to bare lane", ">3.50<", "storm vanished", "1\u00a0Jan\u00a02029", "season pounds fell by 7 %", "scale was wrong"} {
		assert.Contains(t, string(text), want)
	}
}

// TestPositionsStandByTruck: the latest season first; nothing delivered says so. 100 mi are 160.9 km, 10 mi 16.1 km, 20,000 lb 9,072 kg.
func TestPositionsStandByTruck(t *testing.T) {
	data := madeDistrict()
	us := parsedTable(t, built(t, data)["data.html"], "positions-table")
	assert.Equal(t, []string{"2030-31", "T1", "3,000", "2,500", "490", "4", "6", "100.0", "10.0", "20,000", "500", "1"}, us[0])
	assert.Equal(t, []string{"2029-30", "T1", "100", "90"}, us[1][:4])
	data.Units = rows.Metric
	assert.Equal(t, []string{"160.9", "16.1", "9,072", "227"}, parsedTable(t, built(t, data)["data.html"], "positions-table")[0][7:11])
	data.PositionTrucks = nil
	assert.Contains(t, built(t, data)["data.html"], "No truck delivers positions.")
}
