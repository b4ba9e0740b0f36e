package stats_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/stats"
)

// Textbook learning curve, 80 %: 50 min, 40, 32 at units 1, 2, 4 (unit form; Wright 1936): the slope on log2 is log2 0.8.
func TestLineFindsTheLearningCurve(t *testing.T) {
	x, y := []float64{0, 1, 2}, []float64{math.Log2(50), math.Log2(40), math.Log2(32)}
	line, err := stats.FitLine(x, y)
	require.NoError(t, err)
	assert.InDelta(t, -0.321928095, line.Slope, 1e-9)
	assert.InDelta(t, 50, math.Exp2(line.Intercept), 1e-9)
}

func TestTooFewSaysHowManyAreNeeded(t *testing.T) {
	_, mean := stats.Mean([]float64{1}, 0.9)
	_, ratio := jackknifeRatio([]float64{1}, []float64{2}, 0.9)
	_, line := stats.FitLine([]float64{1, 2}, []float64{1, 2})
	_, robust := stats.RobustDeviations([]float64{1, 2})
	for i, err := range []error{mean, ratio, line, robust} {
		var few *stats.TooFew
		require.ErrorAs(t, err, &few, "case %d", i)
		assert.Equal(t, few.Need, few.Have+1)
	}
}

func TestUnusableInputIsAnError(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	calls := map[string]func() error{
		"mean of nan":           func() error { _, err := stats.Mean([]float64{1, nan}, 0.9); return err },
		"mean overflow":         func() error { _, err := stats.Mean([]float64{math.MaxFloat64, -math.MaxFloat64}, 0.9); return err },
		"level 1":               func() error { _, err := stats.Mean([]float64{1, 2}, 1); return err },
		"ratio of 0":            func() error { _, err := geometricMeanRatio([]float64{0, 1}, []float64{1, 1}, 0.9); return err },
		"jackknife to nothing":  func() error { _, err := jackknifeRatio([]float64{0, 5}, []float64{1, 1}, 0.9); return err },
		"jackknife of negative": func() error { _, err := jackknifeRatio([]float64{-1, 5}, []float64{1, 1}, 0.9); return err },
		"line of one x":         func() error { _, err := stats.FitLine([]float64{0.1, 0.1, 0.1}, []float64{1, 2, 3}); return err },
		"line of inf":           func() error { _, err := stats.FitLine([]float64{1, 2, inf}, []float64{1, 2, 3}); return err },
		"equal values":          func() error { _, err := stats.RobustDeviations([]float64{1, 1, 1, 5}); return err },
		"quantile 2":            func() error { _, err := stats.Quantile([]float64{1}, 2); return err },
		"holm of 1.1":           func() error { _, err := stats.Holm([]float64{1.1}); return err },
		"holm of nan":           func() error { _, err := stats.Holm([]float64{nan}); return err },
		"t at 0":                func() error { _, err := stats.TQuantile(0, 5); return err },
		"t with df 0":           func() error { _, err := stats.TQuantile(0.9, 0); return err },
	}
	for name, call := range calls {
		var unusable *stats.Unusable
		assert.ErrorAs(t, call(), &unusable, name)
	}
}

// jackknifeRatio is the ratio of two sums: shares over equal bases, which leave it alone.
func jackknifeRatio(numerators, denominators []float64, level float64) (stats.Estimate, error) {
	ones := slices.Repeat([]float64{1}, len(numerators))
	return stats.JackknifeShareRatio(stats.Share{Over: numerators, Under: ones}, stats.Share{Over: denominators, Under: ones}, level)
}

func geometricMeanRatio(numerators, denominators []float64, level float64) (stats.Estimate, error) {
	ratios := make([]float64, len(numerators))
	for i := range ratios {
		ratios[i] = numerators[i] / denominators[i]
	}
	return stats.GeometricMean(ratios, level)
}

// Turning a ratio over turns its interval over, and the margin shown stays.
func TestRatiosTurnOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pounds := rapid.SliceOfN(rapid.Float64Range(0.1, 1e6), 3, 12)
		over := pounds.Draw(t, "over")
		under := rapid.SliceOfN(rapid.Float64Range(0.1, 1e6), len(over), len(over)).Draw(t, "under")
		for _, ratio := range []func(a, b []float64, level float64) (stats.Estimate, error){jackknifeRatio, geometricMeanRatio} {
			up, err := ratio(over, under, 0.9)
			if err != nil {
				continue // an interval too wide for a double is refused
			}
			down, err := ratio(under, over, 0.9)
			require.NoError(t, err)
			assert.InEpsilon(t, 1/up.Value, down.Value, 1e-9)
			assert.InEpsilon(t, 1/up.Low, down.High, 1e-6)
			assert.True(t, up.Low <= up.Value && up.Value <= up.High)
		}
	})
}

// No input, however wild, gives a number that is not finite.
func TestNothingNotFiniteComesOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64(), 2, 8).Draw(t, "values")
		others := rapid.SliceOfN(rapid.Float64(), len(values), len(values)).Draw(t, "others")
		var found []stats.Estimate
		keep := func(e stats.Estimate, err error) {
			if err == nil {
				found = append(found, e)
			}
		}
		keep(stats.Mean(values, 0.9))
		keep(stats.GeometricMean(values, 0.9))
		keep(geometricMeanRatio(values, others, 0.9))
		keep(jackknifeRatio(values, others, 0.9))
		if line, err := stats.FitLine(values, others); err == nil {
			keep(line.MeanAt(values[0], 0.9))
		}
		if deviations, err := stats.RobustDeviations(values); err == nil {
			keep(stats.Estimate{Value: deviations[0]}, nil)
		}
		for _, e := range found {
			assert.False(t, math.IsNaN(e.Value+e.Low+e.High) || math.IsInf(e.Value, 0) || math.IsInf(e.Low, 0) || math.IsInf(e.High, 0),
				"%+v", e)
		}
	})
}

// With equal bases a ratio of shares is the ratio of the sums; scaled bases scale it and its interval.
func TestJackknifeShareRatioIsARatioOfSumsOverEqualBases(t *testing.T) {
	over, under := []float64{412, 250, 0, 611, 330}, []float64{380, 262, 40, 540, 351}
	ones, fours := []float64{1, 1, 1, 1, 1}, []float64{4, 4, 4, 4, 4}
	plain, err := jackknifeRatio(over, under, 0.90)
	require.NoError(t, err)
	got, err := stats.JackknifeShareRatio(stats.Share{Over: over, Under: fours}, stats.Share{Over: under, Under: ones}, 0.90)
	require.NoError(t, err)
	assert.InEpsilon(t, plain.Value/4, got.Value, 1e-13)
	assert.InEpsilon(t, plain.Low/4, got.Low, 1e-13)
	assert.InEpsilon(t, plain.High/4, got.High, 1e-13)
	assert.Equal(t, 5, got.N)
	_, err = stats.JackknifeShareRatio(stats.Share{Over: over, Under: ones[:4]}, stats.Share{Over: under, Under: ones}, 0.90)
	assert.Error(t, err, "a base is missing")
	_, err = stats.JackknifeShareRatio(stats.Share{Over: []float64{1, 0}, Under: []float64{1, 1}},
		stats.Share{Over: []float64{1, 1}, Under: []float64{1, 1}}, 0.90)
	assert.Error(t, err, "without the first nothing is left")
}
