package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
	"lanetally/site/words"
)

// Chloride criteria: 230 mg/L over four days and 860 mg/L over one hour (EPA 440/5-88-001, From memory); 250 mg/L secondary level (40 CFR
// 143.3).
func TestWaterCriteria(t *testing.T) {
	require.Len(t, words.WaterCriteria, 3)
	for i, want := range []struct {
		mgPerL float64
		source string
	}{{230, "EPA 440/5-88-001"}, {860, "EPA 440/5-88-001"}, {250, "40 CFR 143.3"}} {
		got := words.WaterCriteria[i]
		assert.Equal(t, want.mgPerL, got.MgPerL)
		assert.Contains(t, got.Source, want.source)
		assert.NotEqual(t, got.IsSeen, strings.Contains(got.Source, "from memory"), "%s says whether its text was seen", got.Name)
	}
}

// TestPoundsByWatershedHaveRoadsBeside: hours to bare lane, weighted by the routes' lane-miles, and the mean air of their zones, worked out
// from the rows.
func TestPoundsByWatershedHaveRoadsBeside(t *testing.T) {
	data := madeDistrict()
	data.WatershedStorms = nil
	for _, storm := range data.Storms {
		data.WatershedStorms = append(data.WatershedStorms,
			rows.WatershedStorm{Season: storm.Season, StormID: storm.StormID, Watershed: data.Routes[0].Watershed, Unmeasured: 2})
	}
	list := parsedTable(t, built(t, data)["cost.html"], "watershed-storms-table")
	require.NotEmpty(t, list)
	watershed := map[string]string{}
	for _, route := range data.Routes {
		watershed[route.RouteID] = route.Watershed
	}
	assert.Equal(t, []string{format.Missing, "2"}, []string{list[0][3], list[0][5]}, "unknown pounds are no 0")
	seen := 0
	for _, cells := range list {
		hours, miles := 0.0, 0.0
		for _, row := range data.StormRoutes {
			if row.StormID == cells[0] && watershed[row.RouteID] == cells[1] && row.Form == rows.Solid && row.CappedRegainH != nil {
				hours, miles = hours+*row.CappedRegainH**row.RouteLaneMiles, miles+*row.RouteLaneMiles
			}
		}
		want := format.Missing
		if miles > 0 {
			mean := hours / miles
			want, seen = format.Fixed(&mean, 1), seen+1
		}
		assert.Equal(t, want, cells[6], "%s in %s", cells[0], cells[1])
		if want != format.Missing {
			assert.NotEqual(t, format.Missing, cells[7], "a storm with reports has a temperature")
		}
	}
	assert.Greater(t, seen, 3)
}
