package verdicts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// logInterval is an estimate on the scale of the logarithm with the ends given on the scale of the ratio.
func logInterval(low, high float64) *LearningEstimate {
	return &LearningEstimate{Estimate: stats.Estimate{Value: math.Log(low*high) / 2, Low: math.Log(low), High: math.Log(high)}}
}

// The band of 1.25 to 1.50 times the salt rate. Common practice.
func TestJudgeStartAgainstTheUsualBand(t *testing.T) {
	for _, one := range []struct {
		start      *LearningEstimate
		bySettings bool
		want       string
	}{{nil, false, "not yet known"}, {logInterval(1.26, 1.49), false, "fits the band"}, {logInterval(1.51, 1.7), false, "above"},
		{logInterval(1.0, 1.24), false, "below"}, {logInterval(1.2, 1.4), false, "fits the band"},
		{logInterval(0.9, 2.1), false, "fits the band"}, {logInterval(1.51, 1.7), true, "by settings only"}, {nil, true, "not yet known"}} {
		assert.Equal(t, one.want, judgeStart(one.start, one.bySettings), "%+v", one.start)
	}
}

// A fall of less than 2 % a doubling beyond salt, by its whole interval, is no more than salt's.
func TestJudgeControl(t *testing.T) {
	for _, one := range []struct {
		net        *LearningEstimate
		bySettings bool
		want       string
	}{{nil, false, "no control"}, {logInterval(0.90, 0.999), false, "beyond salt"},
		{logInterval(0.90, 0.999), true, "by settings only"},
		{logInterval(0.981, 1.03), false, "no more than salt"}, {logInterval(0.979, 1.03), false, "cannot be told apart"},
		{logInterval(1.01, 1.02), false, "no more than salt"}} {
		assert.Equal(t, one.want, judgeControl(one.net, one.bySettings))
	}
}

// With a margin of 15 %, the same is 0.8696 to 1.15.
func TestJudgeMaterialAndApplications(t *testing.T) {
	s := district.DefaultSettings()
	for _, one := range []struct {
		season                 *LearningEstimate
		storms, changed        int
		bySettings             bool
		material, applications string
	}{
		{logInterval(0.95, 1.05), 4, 3, false, "too early", "too early"},
		{logInterval(0.87, 1.15), 5, 2, false, "about the same", "about the same"},
		{logInterval(0.95, 1.05), 5, 1, false, "routes cannot be told from material", "not yet known"},
		{logInterval(0.95, 1.05), 5, 3, true, "by settings only", "about the same"},
		{logInterval(0.86, 0.99), 5, 3, false, "less", "fewer"},
		{logInterval(0.88, 0.99), 5, 3, false, "about the same", "about the same"},
		{logInterval(1.01, 1.16), 5, 3, false, "more", "more"},
		{logInterval(0.80, 1.10), 5, 3, false, "not yet known", "not yet known"},
		{nil, 5, 3, false, "not yet known", "not yet known"},
		{nil, 5, 0, false, "routes cannot be told from material", "not yet known"},
	} {
		assert.Equal(t, one.material, judgeMaterial(one.season, one.storms, one.changed, one.bySettings, s), "%+v", one)
		assert.Equal(t, one.applications, judgeApplications(one.season, one.storms, one.changed, s), "%+v", one)
	}
}

// Source: R, pt((log(1.15) - 0.05)/0.06, 8) - pt((-log(1.15) - 0.05)/0.06, 8) = 0.906823763.
func TestWithinMargin(t *testing.T) {
	got := withinMargin(&LearningEstimate{Estimate: stats.Estimate{Value: 0.05}, SE: 0.06, DF: 8}, 0.15)
	require.NotNil(t, got)
	assert.InDelta(t, 0.906823763, *got, 1e-6)
	assert.Nil(t, withinMargin(nil, 0.15))
}

// The path from 1.50 and 1.25 to 1.10 and 1/1.10 over log2(41) = 5.35755 doublings. At half of them high is sqrt(1.5 x 1.1) = 1.28452,
// low sqrt(1.25 / 1.1) = 1.06600; on the path reaches to 1.1 x 1.28452 = 1.41298.
func TestPlannedPath(t *testing.T) {
	s := district.DefaultSettings()
	half := math.Log2(41) / 2
	low, high := plannedPath(half, s)
	assert.InDeltaSlice(t, []float64{1.06600, 1.28452}, []float64{math.Exp(low), math.Exp(high)}, 1e-5)
	low, high = plannedPath(0, s)
	assert.InDeltaSlice(t, []float64{1.25, 1.5}, []float64{math.Exp(low), math.Exp(high)}, 1e-12)
	low, high = plannedPath(9, s)
	assert.InDeltaSlice(t, []float64{1 / 1.1, 1.1}, []float64{math.Exp(low), math.Exp(high)}, 1e-12)
	for _, one := range []struct {
		latest     *LearningEstimate
		bySettings bool
		want       string
	}{{nil, false, "too early"}, {logInterval(1.29, 1.6), false, "above the path"}, {logInterval(1.0, 1.06), false, "below the path"},
		{logInterval(1.0, 1.41), false, "on the path"}, {logInterval(1.28, 1.42), false, "not above the path"},
		{logInterval(1.29, 1.6), true, "by settings only"}} {
		assert.Equal(t, one.want, judgePath(one.latest, half, one.bySettings, s), "%+v", one.latest)
	}
}

// 4 of 25 expected storms: t = 4/25, 1.96 / (1.645 x 0.4) = 2.97872. 30 closed beside 25 expected: t = 30/35.
func TestWidening(t *testing.T) {
	assert.InDelta(t, 2.97872, wideningOf(4, 25), 1e-5)
	assert.InDelta(t, 1.28696, wideningOf(30, 25), 1e-5)
	assert.True(t, math.IsInf(wideningOf(0, 25), 1))
	assert.Equal(t, 25.0, expectedStorms(nil, 25))
	assert.Equal(t, 30.0, expectedStorms([]float64{20, 30, 50}, 25))
	wide := logInterval(0.9, 1.1).widened(2)
	assert.InDelta(t, math.Sqrt(0.99)*0.9/1.1, math.Exp(wide.Low), 1e-12, "the half width is half of ln(1.1/0.9)")
	assert.Nil(t, logInterval(0.9, 1.1).widened(math.Inf(1)), "before the first closed storm there is no interval")
	assert.Nil(t, (*LearningEstimate)(nil).widened(2))
	open := &SeasonsInput{Settings: district.DefaultSettings(), AsOfSeason: "2030-31",
		Closed: []closedStorms{{"2028-29", 20}, {"2029-30", 40}, {"2030-31", 10}}}
	assert.Equal(t, 1.0, open.wideningIn("2029-30"))
	assert.InDelta(t, 1.96/1.645*math.Sqrt(3), open.wideningIn("2030-31"), 1e-12, "10 of the median of 20 and 40")
}

// TestClaims goes through the five answers.
func TestClaims(t *testing.T) {
	on := claimFacts{Roads: rows.RoadsNoWorse, Start: rows.StartWithin, Control: rows.ControlBeyond, Path: rows.PathOn,
		Material: rows.AboutTheSame, IsReported: true, HoursRatio: logInterval(0.9, 1.1), StartRatio: logInterval(1.2, 1.5),
		NetChange: logInterval(0.9, 0.98), ApplicationsRatio: logInterval(0.8, 0.95), Latest: logInterval(0.9, 1.2),
		MaterialRatio: logInterval(0.9, 1.05)}
	const y, n, c = "yes", "no", "cannot tell yet"
	for _, one := range []struct {
		name string
		edit func(*claimFacts)
		want [5]string
	}{
		{"all hold", func(*claimFacts) {}, [5]string{y, y, y, y, y}},
		{"roads worse", func(f *claimFacts) { f.Roads = rows.RoadsWorse }, [5]string{n, c, c, c, c}},
		{"roads not known, though reported", func(f *claimFacts) { f.Roads = rows.RoadsNotKnown }, [5]string{c, y, y, y, y}},
		{"few reports", func(f *claimFacts) { f.Roads, f.IsReported = rows.RoadsNotKnown, false }, [5]string{c, c, c, c, c}},
		{"start meets the band and 1", func(f *claimFacts) { f.StartRatio = logInterval(0.99, 1.5) }, [5]string{y, c, y, y, y}},
		{"start below", func(f *claimFacts) { f.Start = rows.StartBelow }, [5]string{y, n, y, y, y}},
		{"no more than salt", func(f *claimFacts) { f.Control = rows.ControlNoMore }, [5]string{y, y, n, y, y}},
		{"an order", func(f *claimFacts) { f.Control = rows.FromOrder }, [5]string{y, y, c, y, y}},
		{"applications meet 1", func(f *claimFacts) { f.ApplicationsRatio = logInterval(0.9, 1) }, [5]string{y, y, y, c, y}},
		{"more applications", func(f *claimFacts) { f.ApplicationsRatio = logInterval(1.01, 1.2) }, [5]string{y, y, y, n, y}},
		{"pounds not yet known", func(f *claimFacts) { f.Material = rows.NotYetKnown }, [5]string{y, y, y, y, c}},
		{"less pounds", func(f *claimFacts) { f.Material = rows.Less }, [5]string{y, y, y, y, y}},
		{"more pounds", func(f *claimFacts) { f.Material = rows.More }, [5]string{y, y, y, y, n}},
		{"more pounds, path alone", func(f *claimFacts) { f.Material, f.IsPathAlone = rows.More, true }, [5]string{y, y, y, y, y}},
		{"above the path", func(f *claimFacts) { f.Path = rows.PathAbove }, [5]string{y, y, y, y, n}},
		{"not above the path", func(f *claimFacts) { f.Path = rows.PathNotAbove }, [5]string{y, y, y, y, c}},
		{"by settings only", func(f *claimFacts) {
			f.Start, f.Control, f.Path, f.Material = rows.BySettings, rows.BySettings, rows.BySettings, rows.BySettings
		}, [5]string{y, c, c, y, c}},
		{"nothing", func(f *claimFacts) { *f = claimFacts{} }, [5]string{c, c, c, c, c}},
	} {
		facts := on
		one.edit(&facts)
		var got [5]string
		list := answerClaims(facts)
		require.Len(t, list, 5)
		for i, row := range list {
			got[i] = row.Answer
			assert.Equal(t, int64(i+1), row.Claim)
		}
		assert.Equal(t, one.want, got, one.name)
	}
	assert.InDelta(t, math.Sqrt(0.9*1.05), *answerClaims(on)[4].Figure, 1e-12, "a season's end rests on the material's ratio")
	on.IsPathAlone = true
	assert.InDelta(t, math.Sqrt(0.9*1.2), *answerClaims(on)[4].Figure, 1e-12, "else on the latest")
}

func TestSettingsAreNoCounters(t *testing.T) {
	in := &SeasonsInput{Pounds: []seasonPounds{{"2029-30", "acetate", 100, 0.10, 0, "reported"},
		{"2029-30", "chloride", 100, 0.5, 0.8, "reported"},
		{"2030-31", "acetate", 100, 0.12, 0.79, "reported"}, {"2030-31", "chloride", 100, 0, 0, "reported"}}}
	assert.False(t, in.isBySettings("2029-30", "acetate", "chloride"), "a tenth is not over a tenth, and 80 % are weighed")
	assert.True(t, in.isBySettings("2030-31", "acetate"), "12 %, 79 % weighed")
	assert.True(t, in.isBySettings("2030-31", "chloride"), "a quarter of both seasons, 40 % weighed")
	assert.False(t, in.isBySettings("2028-29", "acetate"))
}
