package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Chloride criteria: 230 mg/L over four days and 860 mg/L over one hour (EPA 440/5-88-001, From memory); 250 mg/L secondary level (40 CFR 143.3).
func TestWaterCriteria(t *testing.T) {
	require.Len(t, WaterCriteria, 3)
	for i, want := range []struct {
		mgPerL float64
		source string
	}{{230, "EPA 440/5-88-001"}, {860, "EPA 440/5-88-001"}, {250, "40 CFR 143.3"}} {
		got := WaterCriteria[i]
		assert.Equal(t, want.mgPerL, got.MgPerL)
		assert.Contains(t, got.Source, want.source)
		assert.NotEqual(t, got.IsSeen, strings.Contains(got.Source, "from memory"), "%s says whether its text was seen", got.Name)
	}
}

// TestPoundsByWatershedHaveRoadsBeside: hours to bare lane, weighted by the routes' lane-miles, and the mean air of their zones, worked out from the rows.
func TestPoundsByWatershedHaveRoadsBeside(t *testing.T) {
	data := madeDistrict()
	data.WatershedStorms = nil
	for _, storm := range data.Storms {
		data.WatershedStorms = append(data.WatershedStorms, WatershedStorm{Season: storm.Season, StormID: storm.StormID, Watershed: data.Routes[0].Watershed})
	}
	rows := parsedTable(t, built(t, data)["cost.html"], "watershed-storms-table")
	require.NotEmpty(t, rows)
	watershed := map[string]string{}
	for _, route := range data.Routes {
		watershed[route.RouteID] = route.Watershed
	}
	seen := 0
	for _, cells := range rows {
		hours, miles := 0.0, 0.0
		for _, row := range data.StormRoutes {
			if row.StormID == cells[0] && watershed[row.RouteID] == cells[1] && row.Form == solid && row.RegainH != nil {
				hours, miles = hours+*row.RegainH**row.RouteLaneMiles, miles+*row.RouteLaneMiles
			}
		}
		want := missing
		if miles > 0 {
			mean := hours / miles
			want, seen = fixed(&mean, 1), seen+1
		}
		assert.Equal(t, want, cells[5], "%s in %s", cells[0], cells[1])
		if want != missing {
			assert.NotEqual(t, missing, cells[6], "a storm with reports has a temperature")
		}
	}
	assert.Greater(t, seen, 3)
}
