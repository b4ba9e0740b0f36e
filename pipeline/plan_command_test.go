package pipeline

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

// TestPlanWithoutData: what the command line tells takes the place of assumptions. The first chance by R, of standard deviations 0.06,
// 0.06, 0.20 and 0.03 (season): variance 0.0036/4 + 0.0072/20 + 0.04 x 0.5 x 2/20 + 0.0009 = 0.00416; mean squares of routes (0.0036 +
// 0.04 x 2/20)/4 = 0.0019 with 3 and of storms (0.0072 + 0.02)/20 = 0.00136 with 19 degrees of freedom, so df = 0.00416^2 / (0.0019^2/3 +
// 0.00136^2/19) = 13.305, integrated as in testdata/reference/statistics.R.
func TestPlanWithoutData(t *testing.T) {
	out, words, code := lanetally(t, "plan", "--routes", "4,4", "--storms", "20", "--margin-pct", "15", "--json")
	require.Zero(t, code, words)
	var plans []rows.Plan
	require.NoError(t, json.Unmarshal([]byte(out), &plans))
	require.Len(t, plans, 3)
	assert.Equal(t, rows.OneWinterBefore, plans[1].Design)
	assert.Equal(t, []int64{4, 4, 20, 1, 1}, []int64{plans[1].AcetateRoutes, plans[1].ChlorideRoutes, plans[1].SeasonStorms,
		plans[1].Seasons, plans[1].Districts})
	assert.InDelta(t, 0.332889, plans[1].ChanceShare, 1e-5)

	out, words, code = lanetally(t, "plan", "--seasons", "2", "--districts", "3")
	require.Zero(t, code, words)
	assert.Contains(t, out, "districts 3, of each acetate and chloride routes 3 and 7, seasons 2, storms a season 25.")
	assert.Contains(t, out, "half-season crossover")
	assert.Contains(t, out, "assumed: all.")
	assert.Contains(t, out, "Roads decide first")
}

func TestPlanRefusesWhatCannotBe(t *testing.T) {
	for _, one := range []struct {
		args []string
		says string
	}{
		{[]string{"--routes", "3"}, "--routes has 1 numbers; write acetate and chloride routes, such as 3,7"},
		{[]string{"--routes", "3,0"}, "--routes: 0 is out of range; write a number from 1 to 250"},
		{[]string{"--storms", "251"}, "--storms: 251 is out of range"},
		{[]string{"--seasons=-1"}, "--seasons: -1 is out of range"},
		{[]string{"--margin-pct", "0"}, "--margin-pct: 0 is out of range"},
		{[]string{"--margin-pct", "NaN"}, "--margin-pct: NaN is out of range"},
		{[]string{t.TempDir() + "/none"}, "none"},
	} {
		_, words, code := lanetally(t, append([]string{"plan"}, one.args...)...)
		assert.Equal(t, exitUsage, code, one.args)
		assert.Contains(t, words, one.says)
	}
	_, words, code := lanetally(t, "plan", t.TempDir())
	assert.Equal(t, exitFiles, code)
	assert.Contains(t, words, "run lanetally nightly first")
}
