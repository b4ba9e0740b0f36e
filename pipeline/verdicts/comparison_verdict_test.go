package verdicts

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stormsWithRatios gives one storm per ratio: 100 lb on 1 lane-mile of chloride, one application each, regain as given.
func stormsWithRatios(ratios []float64, regainDiffH ...float64) []comparedStorm {
	storms := make([]comparedStorm, len(ratios))
	for i, ratio := range ratios {
		chloride := classSums{100_000_000, 1_000_000, 1_000_000}
		acetate := classSums{int64(math.Round(ratio * 100_000_000)), int64(math.Round(ratio * 1_000_000)), 1_000_000}
		storms[i] = comparedStorm{stormID: fmt.Sprintf("d-%d", i), acetate: acetate, chloride: chloride}
		if ratio > 0 {
			logRatio := math.Log(ratio)
			storms[i].logRatio = &logRatio
		}
		if i < len(regainDiffH) {
			storms[i].regainDiffH = &regainDiffH[i]
		}
	}
	return storms
}

// TestOpenSeasonsWidenTheTotal: three storms of 100 lb beside 100 and once 130: the ends lie three times as far off, in logarithms.
func TestOpenSeasonsWidenTheTotal(t *testing.T) {
	storms := stormsWithRatios([]float64{1, 1.3, 1})
	plain, wide := describeSeason("", storms, 1), describeSeason("", storms, 3)
	require.NotNil(t, plain.Low90)
	assert.InEpsilon(t, 1.1, *wide.TotalRatio, 1e-12)
	assert.InDelta(t, 3*math.Log(1.1 / *plain.Low90), math.Log(1.1 / *wide.Low90), 1e-9)
	assert.InDelta(t, 3*math.Log(*plain.High90/1.1), math.Log(*wide.High90/1.1), 1e-9)
}

// TestZonesOfAStormAreAveraged: two zones with ratios 2 and 1/2 on the log scale, regain differences 1 and 3.
func TestZonesOfAStormAreAveraged(t *testing.T) {
	h := func(value float64) *float64 { return &value }
	zones := []comparedZone{
		{Season: "s", StormID: "d-1", IsCompared: true, AcetateUlb: 200, AcetateLength: 1, AcetateTreated: 5, ChlorideUlb: 100,
			ChlorideLength:  1,
			ChlorideTreated: 7, AcetateRegainH: h(3), ChlorideRegainH: h(2), AcetatePasses: 2, AcetatePrior: 6},
		{Season: "s", StormID: "d-1", IsCompared: true, AcetateUlb: 50, AcetateLength: 1, ChlorideUlb: 300, ChlorideLength: 3,
			AcetateRegainH: h(5), ChlorideRegainH: h(2), AcetatePasses: 2, AcetatePrior: 6},
		{Season: "s", StormID: "d-1", IsCompared: false, AcetateUlb: 999, AcetateLength: 1, ChlorideUlb: 1, ChlorideLength: 1},
		{Season: "other", StormID: "d-2", IsCompared: true, AcetateUlb: 999, AcetateLength: 1, ChlorideUlb: 1, ChlorideLength: 1},
	}
	storms := stormsOfSeason(zones, "s")
	require.Len(t, storms, 1)
	assert.InDelta(t, 0, *storms[0].logRatio, 1e-15)
	assert.Equal(t, 2.0, *storms[0].regainDiffH)
	assert.Equal(t, 2.0, *storms[0].experience, "log2(1 + 6/2)")
	assert.Equal(t, classSums{250, 5, 2}, storms[0].acetate)
	assert.Equal(t, classSums{400, 7, 4}, storms[0].chloride)
}

// TestEndRatioFollowsTheLine: ratios exactly 1.4 x 0.9^x at x = log2(1 + storms): the end is the line's height at the last x.
func TestEndRatioFollowsTheLine(t *testing.T) {
	var storms []comparedStorm
	for prior := range 6 {
		x := math.Log2(1 + float64(prior))
		storm := stormsWithRatios([]float64{1})[0]
		logRatio := math.Log(1.4) + x*math.Log(0.9)
		storm.logRatio, storm.experience = &logRatio, &x
		storms = append(storms, storm)
	}
	row := describeSeason("", storms, 1)
	require.NotNil(t, row.EndRatio)
	assert.InEpsilon(t, 1.4*math.Pow(0.9, math.Log2(6)), *row.EndRatio, 1e-12)
	storms[5].experience = nil // the latest with both decides
	assert.InEpsilon(t, 1.4*math.Pow(0.9, math.Log2(5)), *describeSeason("", storms, 1).EndRatio, 1e-12)
	same := 1.0
	for i := range storms {
		storms[i].experience = &same
	}
	assert.Nil(t, describeSeason("", storms, 1).EndRatio, "no experience gained, no line")
}
