package verdicts

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

// givenRows are rows of crews c0, c1, ... each on its two routes, in storms one week apart. Crews begin with 0, 1, 2, ... storms
// worked. The rate is start x (1 + prior)^power, times a wobble of a few percent that no pattern of crew or storm explains.
func givenRows(crews, storms int, start, power float64) *LearningInput {
	in := &LearningInput{Compare: "acetate", Beside: "chloride", AsOfSeason: "2030-31", MinRows: 12, MinStorms: 5}
	for storm := range storms {
		for crew := range crews {
			for route := range 2 {
				prior := int64(storm + crew)
				x := math.Log2(1 + float64(prior))
				wobble := 0.03 * math.Sin(float64(7*storm*storm+13*crew+29*route+5*storm*route+3*storm*crew))
				air, intensity, freezing := 20+math.Mod(float64(storm*storm*5), 13), 0.02*float64(1+(storm*3)%5), float64((storm/2)%2)
				in.Rows = append(in.Rows, LearningRow{Season: "2029-30", StormID: fmt.Sprintf("s%02d", storm),
					CrewID:  fmt.Sprintf("c%d", crew),
					RouteID: fmt.Sprintf("r%d%d", crew, route), StormDate: time.Date(2029, 11, 5+7*storm, 0, 0, 0, 0, time.UTC),
					PriorStorms: prior,
					X:           x, Rate: start * math.Exp(power*math.Log(2)*x+wobble), AirF: &air, Intensity: &intensity,
					Freezing: &freezing})
			}
		}
	}
	return in
}

// withoutAir takes the temperature from the first count rows.
func withoutAir(in *LearningInput, count int) *LearningInput {
	for i := range count {
		in.Rows[i].AirF = nil
	}
	return in
}

func withSteadyWeather(in *LearningInput) *LearningInput {
	air := 24.0
	for i := range in.Rows {
		in.Rows[i].AirF = &air
	}
	return in
}

// together lets every crew have worked the same storms, so that experience is told by the storms alone.
func together(in *LearningInput) *LearningInput {
	begin := in.Rows[0].StormDate
	for i, row := range in.Rows {
		in.Rows[i].PriorStorms = int64(row.StormDate.Sub(begin).Hours() / 24 / 7)
		in.Rows[i].X = math.Log2(1 + float64(in.Rows[i].PriorStorms))
	}
	return in
}

// withOrder adds an order whose step, and no learning, lowers the rates from storm at on.
func withOrder(in *LearningInput, at int, step float64) *LearningInput {
	from := time.Date(2029, 11, 5+7*at, 0, 0, 0, 0, time.UTC)
	for i, row := range in.Rows {
		if !row.StormDate.Before(from) {
			in.Rows[i].Rate *= math.Exp(step)
		}
	}
	in.Orders = append(in.Orders, rows.Order{FromDate: from, Text: "set back the rate"})
	return in
}

// TestCurveOutcomes goes through what definitions say of the curve, with data made by hand.
func TestCurveOutcomes(t *testing.T) {
	open := givenRows(3, 12, 420, -0.1)
	open.AsOfSeason = "2029-30"
	otherClass := withOrder(together(givenRows(3, 12, 420, 0)), 6, -0.4)
	otherClass.Orders[0].MaterialClass = "chloride"
	cases := []struct {
		name     string
		in       *LearningInput
		verdict  string
		state    string
		rows     int
		constant []string
		missing  []string // components and columns that must not be in the model
	}{
		{"nothing", &LearningInput{Compare: "acetate", Beside: "chloride", MinRows: 12, MinStorms: 5}, "too early; so far", rows.TooEarly,
			0, nil, nil},
		{"11 rows", trimmed(givenRows(3, 12, 420, -0.1), 11), "too early", rows.TooEarly, 11, nil, nil},
		{"4 storms", givenRows(3, 4, 420, -0.1), "too early", rows.TooEarly, 24, nil, nil},
		{"5 storms", givenRows(3, 5, 420, -0.3), "falling", fitFitted, 30, nil, nil},
		{"falling", givenRows(3, 12, 420, -0.1), "falling", fitFitted, 72, nil, nil},
		{"falling, season open", open, "falling; so far", fitFitted, 72, nil, nil},
		{"rising", givenRows(3, 12, 420, 0.1), "rising", fitFitted, 72, nil, nil},
		{"settled", givenRows(3, 30, 420, 0), "settled", fitFitted, 180, nil, nil},
		{"no clear trend", givenRows(2, 6, 420, 0), "no clear trend", fitFitted, 24, nil, nil},
		{"one crew", givenRows(1, 14, 420, -0.1), "falling", fitFitted, 28, nil, []string{CrewFactor, slopeName}},
		{"two crews", givenRows(2, 14, 420, -0.1), "falling", fitFitted, 56, nil, []string{slopeName}},
		{"steady temperature", withSteadyWeather(givenRows(3, 12, 420, -0.1)), "falling", fitFitted, 72, []string{"air_f_mean"},
			[]string{"air_f_mean"}},
		{"7 of 72 rows without temperature", withoutAir(givenRows(3, 12, 420, -0.1), 7), "falling", fitFitted, 65, nil, nil},
		{"8 of 72 rows without temperature", withoutAir(givenRows(3, 12, 420, -0.1), 8), "falling; not adjusted for air_f_mean", fitFitted,
			72, nil, []string{"air_f_mean"}},
		{"order without learning", withOrder(together(givenRows(3, 12, 420, 0)), 6, -0.4), "cannot be told from an order", fitFitted, 72,
			nil, nil},
		{"order beside clear learning", withOrder(givenRows(3, 12, 420, -0.3), 6, 0), "falling", fitFitted, 72, nil, nil},
		{"order of salt alone", otherClass, "cannot be told from an instruction", fitFitted, 72, nil, nil},
	}
	for _, one := range cases {
		t.Run(one.name, func(t *testing.T) {
			c := FitCurve(one.in)
			assert.Equal(t, one.state, c.Fit.State, c.Fit.Reason)
			assert.Equal(t, one.verdict, c.Verdict.String(), "change %+v", c.Change)
			assert.Len(t, c.Rows, one.rows)
			assert.Equal(t, one.constant, c.Fit.Constant)
			for _, name := range one.missing {
				assert.False(t, c.Fit.has(name), name)
				assert.Negative(t, c.Fit.component(name), name)
			}
			assertFiniteRows(t, one.in)
		})
	}
}

// TestStepsAreJudgedAsShown: what an open season's widening makes of the change beside a step is what decides.
func TestStepsAreJudgedAsShown(t *testing.T) {
	in := withOrder(givenRows(3, 12, 420, -0.3), 6, 0)
	for widening, want := range map[float64]bool{1: false, 40: true} {
		c := &LearningCurve{Widening: widening, Verdict: learningVerdict{Base: rows.Falling}}
		steps := c.stepAtOrders(in, CurveDesign(in))
		require.Len(t, steps, 2, "the order, and a straight change")
		require.NotNil(t, steps[0].Change)
		assert.Equal(t, want, steps[0].Moves)
		assert.Equal(t, want, steps[0].Change.High >= 0, "the interval shown")
		assert.Nil(t, steps[1].Order)
	}
	rising := &LearningCurve{Widening: 1, Verdict: learningVerdict{Base: rows.Rising}}
	assert.True(t, rising.stepAtOrders(in, CurveDesign(in))[0].Moves, "a fall beside the step is no rise")
}

func TestExplanation(t *testing.T) {
	order := orderStep{Order: &rows.Order{}, Moves: true}
	assert.Equal(t, rows.FromOrder, explanation([]orderStep{{Moves: true}, order}))
	assert.Equal(t, rows.FromInstruction, explanation([]orderStep{{Order: &rows.Order{}}, {Moves: true}}))
	assert.Empty(t, explanation([]orderStep{{Order: &rows.Order{}}, {}}))
}

func trimmed(in *LearningInput, rows int) *LearningInput {
	var kept []LearningRow
	for i := 0; len(kept) < rows; i += 5 { // spread over the storms
		kept = append(kept, in.Rows[i])
	}
	in.Rows = kept
	return in
}

// assertFiniteRows: no number of the export is NaN or infinite, whatever came in.
func assertFiniteRows(t *testing.T, in *LearningInput) {
	t.Helper()
	list := LearningRowsOf(JudgeLearning(in))
	require.NotEmpty(t, list)
	assert.True(t, slices.IsSortedFunc(list, func(a, b rows.Learning) int {
		if a.CrewID < b.CrewID {
			return -1
		}
		return 1
	}))
	for _, row := range list {
		assert.NotEmpty(t, row.Verdict)
		for _, value := range []*float64{row.PriorStormsLatest, row.StartRate, row.ChangePct, row.ChangeLow90Pct, row.ChangeHigh90Pct,
			row.DF,
			row.LatestRate, row.SDStorm, row.SDRoute, row.SDCrew, row.SDSlope, row.SDResidual} {
			if value != nil {
				assert.False(t, math.IsNaN(*value) || math.IsInf(*value, 0))
			}
		}
	}
}

// TestExactRatesGiveNoInterval: rates that follow the model exactly leave nothing to judge by; the fit says so.
func TestExactRatesGiveNoInterval(t *testing.T) {
	in := givenRows(3, 12, 420, 0)
	for i := range in.Rows {
		in.Rows[i].Rate = 300
	}
	c := FitCurve(in)
	assert.Equal(t, fitNoAnswer, c.Fit.State)
	assert.NotEmpty(t, c.Fit.Reason)
	assert.Equal(t, rows.NoTrend, c.Verdict.Base)
	assert.Nil(t, c.Change)
	assertFiniteRows(t, in)
}

// TestCrewOnItsOwnRoute: where every crew keeps to one route of its own, the crew's effect stands for both.
func TestCrewOnItsOwnRoute(t *testing.T) {
	in := givenRows(4, 14, 420, -0.1)
	in.Rows = slices.DeleteFunc(in.Rows, func(r LearningRow) bool { return r.RouteID[2] == '1' })
	c := FitCurve(in)
	require.True(t, c.Fit.IsFitted(), c.Fit.Reason)
	assert.Contains(t, c.Fit.Dropped, RouteFactor)
	assert.GreaterOrEqual(t, c.Fit.component(CrewFactor), 0)
	assert.Contains(t, c.Change.Warnings, "cannot be told from others: route")
}

// TestSlowCrewIsTold: one crew of six stays where it began; Holm's adjustment tells it and no other.
func TestSlowCrewIsTold(t *testing.T) {
	in := givenRows(6, 20, 420, -0.2)
	for i, row := range in.Rows {
		if row.CrewID == "c3" {
			in.Rows[i].Rate *= math.Exp(0.2 * math.Log(2) * row.X)
		}
	}
	verdicts := map[string]string{}
	for _, crew := range crewCurves(FitCurve(in)) {
		verdicts[crew.CrewID] = crew.Verdict.Base
	}
	assert.Equal(t, map[string]string{"c0": rows.CrewLikeOthers, "c1": rows.CrewLikeOthers, "c2": rows.CrewLikeOthers,
		"c3": rows.CrewSlower,
		"c4": rows.CrewLikeOthers, "c5": rows.CrewLikeOthers}, verdicts)
	two := crewCurves(FitCurve(givenRows(2, 14, 420, -0.1)))
	require.Len(t, two, 2)
	assert.Equal(t, "too early; slopes of crews need 3 crews", two[0].Verdict.String())
}

func TestJudgeChangeAtItsEdges(t *testing.T) {
	for _, one := range []struct {
		low, high float64
		want      string
	}{{-3, -0.1, rows.Falling}, {-3, 0, rows.NoTrend}, {0.1, 5, rows.Rising}, {0, 5, rows.NoTrend}, {-2, 2, rows.Settled},
		{-2.01, 2, rows.NoTrend}, {-1, -0.5, rows.Falling}} {
		assert.Equal(t, one.want, judgeChange(one.low, one.high), "%v to %v", one.low, one.high)
	}
}

func TestSeasonOfCloses(t *testing.T) {
	assert.Equal(t, "2029-30", seasonOf(time.Date(2030, 6, 30, 23, 59, 0, 0, time.UTC)))
	assert.Equal(t, "2030-31", seasonOf(time.Date(2030, 7, 1, 0, 0, 0, 0, time.UTC)))
	assert.Equal(t, "2099-00", seasonOf(time.Date(2099, 12, 1, 0, 0, 0, 0, time.UTC)))
}

// The median of two crews' latest x: log2(4) = 2 and log2(8) = 3 give 2.5, that is 2^2.5 - 1 storms; of three it is one's own.
func TestLatestExperience(t *testing.T) {
	x, storms, ok := latestExperience([]crewExperience{{PriorStorms: 3, X: 2}, {PriorStorms: 7, X: 3}})
	require.True(t, ok)
	assert.InDelta(t, 2.5, x, 1e-12)
	assert.InDelta(t, 4.656854249492381, storms, 1e-12)
	x, storms, ok = latestExperience([]crewExperience{{PriorStorms: 3, X: 2}, {PriorStorms: 15, X: 4}, {PriorStorms: 7, X: 3}})
	require.True(t, ok)
	assert.Equal(t, []float64{3, 7}, []float64{x, storms})
	_, _, ok = latestExperience(nil)
	assert.False(t, ok)
}
