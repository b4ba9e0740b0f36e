package verdicts

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
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

// TestVerdicts holds each verdict. Equal chloride in all storms, so the total ratio is the mean of the ratios.
func TestVerdicts(t *testing.T) {
	cases := []struct {
		name, verdict, applications string
		ratios                      []float64
	}{
		{"four storms", "too early", "too early", []float64{1, 1.01, 0.99, 1}},
		{"five alike", "about the same", "about the same", []float64{1, 1.01, 0.99, 1, 1}},
		{"less, though inside the margin", "about the same", "about the same", []float64{0.97, 0.97, 0.971, 0.969, 0.97}},
		{"less", "less", "fewer", []float64{0.6, 0.65, 0.7, 0.62, 0.66}},
		{"more", "more", "more", []float64{1.3, 1.35, 1.4, 1.32, 1.36}},
		{"wide", "not yet known", "not yet known", []float64{0.7, 1.3, 1.1, 0.8, 1.2}},
		{"above 1 and over the margin's edge", "more", "more", []float64{1.08, 1.12, 1.1, 1.09, 1.11}},
		{"nothing on acetate", "not yet known", "not yet known", []float64{0, 0, 0, 0, 0}},
		{"one storm holds it all", "not yet known", "not yet known", []float64{1, 0, 0, 0, 0}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			row := judgeSeason("2027-28", stormsWithRatios(c.ratios), district.DefaultSettings())
			assert.Equal(t, c.verdict, row.Verdict)
			assert.Equal(t, c.applications, row.ApplicationsVerdict)
			assert.Equal(t, int64(len(c.ratios)), row.Storms)
			wantsMargin := row.Verdict == rows.NotYetKnown && row.Low90 != nil
			assert.Equal(t, wantsMargin, row.MarginShownPct != nil)
			if wantsMargin {
				assert.InDelta(t, 100*(math.Max(*row.High90, 1 / *row.Low90)-1), *row.MarginShownPct, 1e-9)
				assert.Greater(t, *row.MarginShownPct, 10.0)
			}
		})
	}
}

// TestMarginIsTheDistrictsOwn: the same storms, judged by another margin.
func TestMarginIsTheDistrictsOwn(t *testing.T) {
	s := district.DefaultSettings()
	ratios := []float64{1.08, 1.12, 1.1, 1.09, 1.11}
	s.SameMargin = 0.20
	assert.Equal(t, "about the same", judgeSeason("", stormsWithRatios(ratios), s).Verdict)
	s.CompareMinStorms = 6
	assert.Equal(t, "too early", judgeSeason("", stormsWithRatios(ratios), s).Verdict)
}

// TestRegainVerdicts holds each verdict on the roads. t(0.95, 4) = 2.1318.
func TestRegainVerdicts(t *testing.T) {
	cases := []struct {
		name, verdict string
		hours         []float64
	}{
		{"none", "not known", nil},
		{"one storm", "not known", []float64{0}},
		{"level", "no worse", []float64{0.1, -0.1, 0, 0.2, -0.2}},
		{"sooner", "no worse", []float64{-2, -1.9, -2.1, -2, -2}},
		{"later", "worse", []float64{2, 1.9, 2.1, 2, 2}},
		{"a little later, within the margin", "no worse", []float64{0.5, 0.51, 0.49, 0.5, 0.5}},
		{"unclear", "not known", []float64{-3, 3, 2, -2, 1}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			row := judgeSeason("", stormsWithRatios([]float64{1, 1, 1, 1, 1}, c.hours...), district.DefaultSettings())
			assert.Equal(t, c.verdict, row.RegainVerdict)
			assert.Equal(t, len(c.hours) > 0, row.RegainDiffH != nil)
			assert.Equal(t, len(c.hours) > 1, row.RegainLow90H != nil)
		})
	}
}

// TestRegainMarginIsInside: an upper end that is the margin itself is no worse; a lower end of 0 is not worse.
func TestRegainMarginIsInside(t *testing.T) {
	s := district.DefaultSettings()
	assert.Equal(t, "no worse", judgeRegainDiff(&stats.Estimate{Low: -1, High: 1}, s))
	assert.Equal(t, "not known", judgeRegainDiff(&stats.Estimate{Low: 0, High: 1.0001}, s))
	assert.Equal(t, "worse", judgeRegainDiff(&stats.Estimate{Low: 0.0001, High: 1.0001}, s))
}

// TestVerdictEndsAreInside: the interval [1/1.1, 1.1] itself is about the same; an end at 1 is neither less nor more.
func TestVerdictEndsAreInside(t *testing.T) {
	s := district.DefaultSettings()
	assert.Equal(t, "about the same", judgeTotal(&stats.Estimate{Low: 1 / 1.1, High: 1.1}, 5, s))
	assert.Equal(t, "not yet known", judgeTotal(&stats.Estimate{Low: 1, High: 1.2}, 5, s))
	assert.Equal(t, "not yet known", judgeTotal(&stats.Estimate{Low: 0.8, High: 1}, 5, s))
	assert.Equal(t, "too early", judgeTotal(&stats.Estimate{Low: 0.99, High: 1.01}, 4, s))
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
	assert.Equal(t, []string{"other", "s"}, seasonsOf(zones))
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
	row := judgeSeason("", storms, district.DefaultSettings())
	require.NotNil(t, row.EndRatio)
	assert.InEpsilon(t, 1.4*math.Pow(0.9, math.Log2(6)), *row.EndRatio, 1e-12)
	storms[5].experience = nil // the latest with both decides
	assert.InEpsilon(t, 1.4*math.Pow(0.9, math.Log2(5)), *judgeSeason("", storms, district.DefaultSettings()).EndRatio, 1e-12)
	same := 1.0
	for i := range storms {
		storms[i].experience = &same
	}
	assert.Nil(t, judgeSeason("", storms, district.DefaultSettings()).EndRatio, "no experience gained, no line")
}
