package stats_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// The numbers of statistics.json are R's: testdata/reference/statistics.R, versions in the README there.

const referenceFolder = "../../testdata/reference"

type interval struct{ Value, Low, High float64 }

type reference struct {
	TQuantiles []struct{ P, DF, T float64 } `json:"t_quantiles"`
	TTails     []struct {
		T, DF    float64
		TwoSided float64 `json:"two_sided"`
	} `json:"t_tails"`
	Holm    []struct{ P, Adjusted []float64 }
	Student struct {
		interval
		T, DF float64
	}
	Geometric, Jackknife struct {
		interval
		Numerator, Denominator []float64
	}
	TOST []struct {
		interval
		Values        []float64
		Margin, P, DF float64
		SELog         float64 `json:"se_log"`
	}
	TOSTPower []struct{ Margin, SE, DF, Power float64 } `json:"tost_power"`
	Lines     struct {
		Norris struct {
			Coefficients, SE []float64
			SD               float64
		}
		End struct {
			X, Y, Coefficients []float64
			At                 float64
			Mean, One          interval
		}
	}
	Robust struct{ Values, Deviations, Quartiles []float64 }
}

func readReference(t *testing.T) reference {
	t.Helper()
	bytes, err := os.ReadFile(filepath.Join(referenceFolder, "results", "statistics.json"))
	require.NoError(t, err)
	var result reference
	require.NoError(t, json.Unmarshal(bytes, &result))
	return result
}

// readPairs reads the two columns of data/NAME.csv.
func readPairs(t *testing.T, name string) (first, second []float64) {
	t.Helper()
	file, err := os.Open(filepath.Join(referenceFolder, "data", name+".csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		a, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		b, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		first, second = append(first, a), append(second, b)
	}
	return first, second
}

func requireInterval(t *testing.T, want interval, got stats.Estimate, share float64) {
	t.Helper()
	assert.InEpsilon(t, want.Value, got.Value, share, "value")
	assert.InEpsilon(t, want.Low, got.Low, share, "low")
	assert.InEpsilon(t, want.High, got.High, share, "high")
}

// Source: R's qt and pt.
func TestStudentsTAgreesWithReference(t *testing.T) {
	want := readReference(t)
	require.Len(t, want.TQuantiles, 72)
	for _, one := range want.TQuantiles {
		got, err := stats.TQuantile(one.P, one.DF)
		require.NoError(t, err)
		assert.InEpsilon(t, one.T, got, 1e-9, "p %g df %g", one.P, one.DF)
	}
	require.Len(t, want.TTails, 4)
	for _, one := range want.TTails {
		got, err := stats.TTwoSided(one.T, one.DF)
		require.NoError(t, err)
		assert.InEpsilon(t, one.TwoSided, got, 1e-9, "t %g df %g", one.T, one.DF)
	}
}

// Source: R's p.adjust(method = "holm").
func TestHolmAgreesWithReference(t *testing.T) {
	want := readReference(t)
	require.Len(t, want.Holm, 4)
	for _, one := range want.Holm {
		got, err := stats.Holm(one.P)
		require.NoError(t, err)
		assert.InDeltaSlice(t, one.Adjusted, got, 1e-14)
	}
}

// Source: Student (1908), the sleep data, as R's t.test prints them: mean difference -1.58, t -4.062127683, df 9.
func TestPairedMeanAgreesWithStudentsSleepData(t *testing.T) {
	want := readReference(t).Student
	first, second := readPairs(t, "sleep")
	differences := make([]float64, len(first))
	for i := range first {
		differences[i] = first[i] - second[i]
	}
	got, err := stats.Mean(differences, 0.95)
	require.NoError(t, err)
	requireInterval(t, want.interval, got, 1e-12)
	assert.Equal(t, 10, got.N)
	assert.InDelta(t, -1.58, got.Value, 1e-12)
	quantile, err := stats.TQuantile(0.975, 9)
	require.NoError(t, err)
	assert.InDelta(t, -4.062127683, got.Value/((got.High-got.Low)/2/quantile), 1e-8)
}

// Source: R's paired t.test of the logarithms of an invented example; 1.27536623511, 95 % 1.24464573299 to 1.30684498451.
func TestGeometricMeanRatioAgreesWithReference(t *testing.T) {
	want := readReference(t).Geometric
	got, err := geometricMeanRatio(want.Numerator, want.Denominator, 0.95)
	require.NoError(t, err)
	requireInterval(t, want.interval, got, 1e-12)
	requireInterval(t, interval{1.27536623511, 1.24464573299, 1.30684498451}, got, 1e-11)
}

// Source: the jackknife written out in R.
func TestJackknifeRatioAgreesWithReference(t *testing.T) {
	want := readReference(t).Jackknife
	got, err := jackknifeRatio(want.Numerator, want.Denominator, 0.90)
	require.NoError(t, err)
	requireInterval(t, want.interval, got, 1e-12)
	assert.Equal(t, 10, got.N)
	assert.NotEmpty(t, got.Warnings)
}

// Source: R's one-sided t.tests. The verdict by the 90 % interval and the p value at 5 % must say the same.
func TestEquivalenceAgreesWithReference(t *testing.T) {
	want := readReference(t).TOST
	verdicts := []string{rows.AboutTheSame, rows.NotYetKnown, rows.More, rows.NotYetKnown}
	require.Len(t, want, len(verdicts))
	for i, one := range want {
		ratios := make([]float64, len(one.Values))
		for j, value := range one.Values {
			ratios[j] = math.Exp(value)
		}
		got, err := stats.GeometricMean(ratios, 0.90)
		require.NoError(t, err)
		requireInterval(t, one.interval, got, 1e-10)
		assert.Equal(t, verdicts[i], rows.JudgeRatio(got.Low, got.High, one.Margin))
		distance := math.Log1p(one.Margin) - math.Abs(math.Log(got.Value)) // to the nearer end of the margin
		p, err := stats.TTwoSided(distance/one.SELog, one.DF)
		require.NoError(t, err)
		if p /= 2; distance < 0 {
			p = 1 - p
		}
		assert.InDelta(t, one.P, p, 1e-9)
		assert.Equal(t, p <= 0.05, verdicts[i] == rows.AboutTheSame)
	}
}

// Source: NIST Statistical Reference Datasets, Norris: certified values; intervals from R's predict.
// R integrates the share of estimates inside over the chi-square distribution of the standard error.
func TestEquivalencePowerAgreesWithReference(t *testing.T) {
	cases := readReference(t).TOSTPower
	require.Len(t, cases, 8)
	for _, want := range cases {
		assert.InDelta(t, want.Power, stats.EquivalencePower(want.Margin, want.SE, want.DF), 2e-5, "%+v", want)
	}
	assert.Zero(t, stats.EquivalencePower(0.1, 0.01, 0.5), "below one degree of freedom")
	assert.Zero(t, stats.EquivalencePower(0.1, 0.08, 1e5), "1.645 x 0.08 is over the margin: no estimate can be inside")
	assert.Zero(t, stats.EquivalencePower(0.1, math.Inf(1), 4))
	assert.Zero(t, stats.EquivalencePower(0.1, 0.01, math.NaN()))
}

func TestLineAgreesWithReference(t *testing.T) {
	want := readReference(t).Lines
	y, x := readPairs(t, "norris")
	norris, err := stats.FitLine(x, y)
	require.NoError(t, err)
	assert.InEpsilon(t, -0.262323073774029, norris.Intercept, 1e-11)
	assert.InEpsilon(t, 0.232818234301152, norris.InterceptSE, 1e-11)
	assert.InEpsilon(t, 1.00211681802045, norris.Slope, 1e-13)
	assert.InEpsilon(t, 0.000429796848199937, norris.SlopeSE, 1e-11)
	assert.InEpsilon(t, 0.884796396144373, norris.ResidualSD, 1e-12)
	end, err := stats.FitLine(want.End.X, want.End.Y)
	require.NoError(t, err)
	mean, err := end.MeanAt(want.End.At, 0.90)
	require.NoError(t, err)
	requireInterval(t, want.End.Mean, mean, 1e-11)
}

// Source: R's mad and quantile (type 7).
func TestRobustDeviationsAgreeWithReference(t *testing.T) {
	want := readReference(t).Robust
	got, err := stats.RobustDeviations(want.Values)
	require.NoError(t, err)
	assert.InDeltaSlice(t, want.Deviations, got, 1e-12)
	for i, p := range []float64{0.25, 0.5, 0.75} {
		quartile, err := stats.Quantile(want.Values, p)
		require.NoError(t, err)
		assert.InDelta(t, want.Quartiles[i], quartile, 1e-14)
	}
}
