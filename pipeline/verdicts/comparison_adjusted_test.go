package verdicts

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
)

// historyOf gives five storms per class in order, seasons 2027-28 on: one route of 10 lane-miles in zone z, with pounds for each season.
func historyOf(routeID string, classes []string, pounds []int64) []routeStorm {
	var rows []routeStorm
	for i, class := range classes {
		for storm := range 5 {
			season := fmt.Sprintf("%d-%d", 2027+i, 28+i)
			rows = append(rows, routeStorm{season, fmt.Sprintf("d-%d-%d", i, storm), "z", routeID, class, true, pounds[i], 10})
		}
	}
	return rows
}

const (
	acetateThen  = "acetate"
	chlorideThen = "chloride"
)

// TestConvertedRoutes tells converted routes from all others, season by season.
func TestConvertedRoutes(t *testing.T) {
	cases := []struct {
		name    string
		classes []string
		want    bool
	}{
		{"turned last", []string{chlorideThen, chlorideThen, acetateThen}, true},
		{"turned before last", []string{chlorideThen, acetateThen, acetateThen}, true},
		{"turned back", []string{acetateThen, chlorideThen, acetateThen}, false},
		{"always acetate", []string{acetateThen, acetateThen, acetateThen}, false},
		{"chloride now", []string{chlorideThen, acetateThen, chlorideThen}, false},
		{"no class in between", []string{chlorideThen, "", acetateThen}, false},
		{"abrasive before", []string{"abrasive", chlorideThen, acetateThen}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			rows := append(historyOf("r", c.classes, []int64{100, 100, 150}),
				historyOf("s", []string{chlorideThen, chlorideThen, chlorideThen}, []int64{100, 100, 100})...)
			got := baselineOf(rows, "2029-30", district.DefaultSettings())
			assert.Equal(t, c.want, len(got) == 1)
		})
	}
}

// TestAdjustedRatioByHand: r got 120 lb beside 100 before, 180 beside 100 now: 1.5 whatever its place needs by itself.
func TestAdjustedRatioByHand(t *testing.T) {
	turned := []string{chlorideThen, acetateThen}
	list := historyOf("r", turned, []int64{120, 180})
	list = append(list, historyOf("s", []string{chlorideThen, chlorideThen}, []int64{100, 100})...)
	adjusted := func(list []routeStorm) rows.SeasonComparison {
		var row rows.SeasonComparison
		adjustToBaseline(&row, baselineOf(list, "2028-29", district.DefaultSettings()), 5)
		return row
	}
	row := adjusted(list)
	require.NotNil(t, row.AdjustedRatio)
	assert.InEpsilon(t, 1.5, *row.AdjustedRatio, 1e-12)
	assert.Nil(t, row.AdjustedLow90)
	assert.Equal(t, int64(1), row.AdjustedRoutes)
	assert.Equal(t, int64(1), row.AdjustedSeasons)

	// Two more routes, 1.5 x e^0.1 and 1.5 / e^0.1: the mean is 1.5 again; sd 0.1, se 0.1 / sqrt(3), t(0.95, 2) = 2.91998558 (R: qt).
	list = append(list, historyOf("r2", turned, []int64{100000000, int64(math.Round(1.5e8 * math.Exp(0.1)))})...)
	list = append(list, historyOf("r3", turned, []int64{100000000, int64(math.Round(1.5e8 / math.Exp(0.1)))})...)
	row = adjusted(list)
	require.NotNil(t, row.AdjustedLow90)
	assert.InEpsilon(t, 1.5, *row.AdjustedRatio, 1e-7)
	assert.InEpsilon(t, 1.5*math.Exp(2.91998558*0.1/math.Sqrt(3)), *row.AdjustedHigh90, 1e-7)
	assert.InEpsilon(t, 1.5*math.Exp(-2.91998558*0.1/math.Sqrt(3)), *row.AdjustedLow90, 1e-7)
}

// TestBaselineNeedsStormsAndControl: a season of four storms is no baseline, nor one without a control or a control that got nothing.
func TestBaselineNeedsStormsAndControl(t *testing.T) {
	turned, stayed := []string{chlorideThen, acetateThen}, []string{chlorideThen, chlorideThen}
	route := historyOf("r", turned, []int64{120, 180})
	control := historyOf("s", stayed, []int64{100, 100})
	count := func(rows ...[]routeStorm) int {
		var all []routeStorm
		for _, part := range rows {
			all = append(all, part...)
		}
		return len(baselineOf(all, "2028-29", district.DefaultSettings()))
	}
	assert.Equal(t, 1, count(route, control))
	assert.Equal(t, 0, count(route), "no control")
	assert.Equal(t, 0, count(route[1:], control), "four storms before")
	assert.Equal(t, 0, count(route, historyOf("s", stayed, []int64{100, 0})), "the control got nothing now")
	elsewhere := historyOf("s", stayed, []int64{100, 100})
	for i := range elsewhere {
		elsewhere[i].ZoneID = "elsewhere"
	}
	assert.Equal(t, 0, count(route, elsewhere), "the control is in another zone")
}

// TestControlLosesATenth: a control that lost exactly a tenth of its lane-miles stands, one that lost more does not.
func TestControlLosesATenth(t *testing.T) {
	stayed := []string{chlorideThen, chlorideThen}
	for _, c := range []struct {
		lost int64
		want int
	}{{9, 1}, {10, 1}, {11, 0}} {
		rows := historyOf("r", []string{chlorideThen, acetateThen}, []int64{120, 180})
		kept := historyOf("s", stayed, []int64{100, 100})
		left := historyOf("s2", stayed, []int64{100, 100})
		for i := range kept {
			kept[i].LengthUlm = 100 - c.lost
			left[i].LengthUlm = c.lost
		}
		left[0].Counts = false
		got := baselineOf(append(append(rows, kept...), left...), "2028-29", district.DefaultSettings())
		assert.Len(t, got, c.want, "%d of 100 lane-miles lost in one of five storms before", c.lost)
	}
}
