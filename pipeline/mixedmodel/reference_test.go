package mixedmodel_test

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/mixedmodel"
)

// The committed numbers of testdata/reference come from R (lme4, lmerTest; versions in its README) and from dense solutions
// written in R; the scripts lie beside them.

const referenceFolder = "../../testdata/reference"

// readColumns reads data/NAME.csv of the reference folder.
func readColumns(t testing.TB, name string) map[string][]float64 {
	t.Helper()
	file, err := os.Open(filepath.Join(referenceFolder, "data", name+".csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	columns := map[string][]float64{}
	for j, header := range rows[0] {
		for _, row := range rows[1:] {
			value, err := strconv.ParseFloat(row[j], 64)
			require.NoError(t, err)
			columns[header] = append(columns[header], value)
		}
	}
	return columns
}

func readResults(t testing.TB, name string, into any) {
	t.Helper()
	bytes, err := os.ReadFile(filepath.Join(referenceFolder, "results", name+".json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(bytes, into))
}

func levels(values []float64) []int {
	result := make([]int, len(values))
	for i, value := range values {
		result[i] = int(value)
	}
	return result
}

// model builds a model of an intercept and the named covariates, an intercept per factor, and a slope ("" for none) per level of
// the last factor.
func model(columns map[string][]float64, response string, covariates, factors []string, slope string) mixedmodel.Model {
	ones := make([]float64, len(columns[response]))
	for i := range ones {
		ones[i] = 1
	}
	m := mixedmodel.Model{Y: columns[response], X: [][]float64{ones}, XNames: []string{"(intercept)"}}
	for _, name := range covariates {
		m.X, m.XNames = append(m.X, columns[name]), append(m.XNames, name)
	}
	for _, name := range factors {
		m.Factors = append(m.Factors, mixedmodel.Factor{Name: name, Levels: levels(columns[name])})
	}
	if slope != "" {
		last := len(factors) - 1
		m.Slopes = []mixedmodel.Slope{{Name: "slope_" + factors[last], Factor: last, Covariate: columns[slope]}}
	}
	return m
}

type mixedReference struct {
	Criterion float64
	Sigma     float64
	SD        map[string]float64
	Fixed     numbers
	FixedSE   numbers `json:"fixed_se"`
	DF        numbers
	Effects   map[string]struct {
		Value       []float64
		ConditionSD []float64 `json:"condition_sd"`
	}
}

// numbers reads a JSON array of numbers, or a single number as an array of one (R's writer unboxes it).
type numbers []float64

func (n *numbers) UnmarshalJSON(bytes []byte) error {
	if len(bytes) > 0 && bytes[0] != '[' {
		*n = make([]float64, 1)
		return json.Unmarshal(bytes, &(*n)[0])
	}
	return json.Unmarshal(bytes, (*[]float64)(n))
}

var learningCovariates = []string{"x", "air", "intensity", "freezing"}

var mixedCases = []struct {
	name, file, response string
	covariates, factors  []string
	slope                string
}{
	{"sleepstudy_slope", "sleepstudy", "reaction", []string{"days"}, []string{"subject"}, "days"},
	{"sleepstudy_intercept", "sleepstudy", "reaction", []string{"days"}, []string{"subject"}, ""},
	{"dyestuff", "dyestuff", "yield", nil, []string{"batch"}, ""},
	{"dyestuff2", "dyestuff2", "yield", nil, []string{"batch"}, ""},
	{"crossed_1", "crossed_1", "ln_rate", learningCovariates, []string{"storm", "route", "crew"}, "x"},
	{"crossed_2", "crossed_2", "ln_rate", learningCovariates, []string{"storm", "route", "crew"}, "x"},
	{"crossed_3", "crossed_3", "ln_rate", learningCovariates, []string{"storm", "route", "crew"}, "x"},
	{"demo_1", "demo_1", "ln_rate", learningCovariates, []string{"storm", "route", "crew"}, "x"},
	{"demo_2", "demo_2", "ln_rate", learningCovariates, []string{"storm", "route", "crew"}, "x"},
	{"demo_3", "demo_3", "ln_rate", learningCovariates, []string{"storm", "route", "crew"}, "x"},
}

// Source: lme4 and lmerTest, testdata/reference/mixed.R.
func TestFitAgreesWithReference(t *testing.T) {
	var references map[string]mixedReference
	readResults(t, "mixed", &references)
	require.Len(t, references, len(mixedCases))
	for _, one := range mixedCases {
		t.Run(one.name, func(t *testing.T) {
			want, found := references[one.name]
			require.True(t, found)
			got, err := mixedmodel.Fit(model(readColumns(t, one.file), one.response, one.covariates, one.factors, one.slope))
			require.NoError(t, err)
			compareFit(t, want, got)
		})
	}
}

func compareFit(t *testing.T, want mixedReference, got *mixedmodel.Result) {
	assert.InDelta(t, want.Criterion, got.Criterion, 1e-6, "criterion")
	assert.InEpsilon(t, want.Sigma, got.Sigma, 1e-3, "sigma")
	require.Len(t, got.Fixed, len(want.Fixed))
	for j := range want.Fixed {
		assert.InEpsilon(t, want.Fixed[j], got.Fixed[j], 1e-6, "fixed %s", got.XNames[j])
		assert.InEpsilon(t, want.FixedSE[j], got.FixedSE[j], 1e-6, "standard error %s", got.XNames[j])
		weights := make([]float64, len(want.Fixed))
		weights[j] = 1
		df, err := got.DF(mixedmodel.Combination{Fixed: weights})
		require.NoError(t, err)
		assert.InEpsilon(t, want.DF[j], df, 0.01, "degrees of freedom %s", got.XNames[j])
	}
	require.Len(t, got.Components, len(want.SD))
	for k, component := range got.Components {
		sd, found := want.SD[component.Name]
		require.True(t, found, component.Name)
		if sd == 0 {
			assert.Zero(t, component.SD, component.Name)
			assert.True(t, component.AtBoundary, component.Name)
			continue
		}
		assert.InEpsilon(t, sd, component.SD, 1e-3, "standard deviation %s", component.Name)
		effects := want.Effects[component.Name]
		require.Len(t, got.Effects[k], len(effects.Value))
		for level, effect := range got.Effects[k] {
			assert.InDelta(t, effects.Value[level], effect, 1e-5*sd, "effect %s %d", component.Name, level)
			conditional, prediction := got.EffectSDs(k, level)
			assert.InEpsilon(t, effects.ConditionSD[level], conditional, 1e-4, "conditional sd %s %d", component.Name, level)
			assert.GreaterOrEqual(t, prediction, conditional)
		}
	}
}

type predictionReference struct {
	File, Response string
	Fixed          []string
	Random         []struct{ Factor, Slope string }
	Combinations   []struct {
		Fixed  []float64
		Random []struct {
			Component, Level int
			Weight           float64
		}
	}
	SD         []float64
	Sigma      float64
	Values     []float64
	Covariance [][]float64
	DF         []float64
}

// Source: dense mixed-model equations and numerical derivatives in R, testdata/reference/prediction.R.
func TestPredictionErrorsAgreeWithDenseSolution(t *testing.T) {
	var references map[string]predictionReference
	readResults(t, "prediction", &references)
	require.Len(t, references, 3)
	for name, want := range references {
		t.Run(name, func(t *testing.T) {
			got, err := mixedmodel.Fit(predictionModel(t, want))
			require.NoError(t, err)
			combinations := predictionCombinations(want)
			values, covariance, err := got.Combine(combinations...)
			require.NoError(t, err)
			for a := range combinations {
				assert.InEpsilon(t, want.Values[a], values[a], 1e-5, "value %d", a)
				for b := range combinations {
					size := want.Covariance[a][a] + want.Covariance[b][b]
					assert.InDelta(t, want.Covariance[a][b], covariance.At(a, b), 1e-6*size, "covariance %d %d", a, b)
				}
				estimate, err := got.Predict(combinations[a])
				require.NoError(t, err)
				assert.InEpsilon(t, want.DF[a], estimate.DF, 0.001, "degrees of freedom %d", a)
			}
		})
	}
}

func predictionModel(t *testing.T, want predictionReference) mixedmodel.Model {
	var factors []string
	slope := ""
	for _, part := range want.Random {
		if part.Slope == "" {
			factors = append(factors, part.Factor)
		}
		slope = part.Slope
	}
	return model(readColumns(t, want.File), want.Response, want.Fixed, factors, slope)
}

func predictionCombinations(want predictionReference) []mixedmodel.Combination {
	combinations := make([]mixedmodel.Combination, len(want.Combinations))
	for a, one := range want.Combinations {
		combinations[a].Fixed = one.Fixed
		for _, term := range one.Random {
			combinations[a].Random = append(combinations[a].Random,
				mixedmodel.Term{Component: term.Component, Level: term.Level, Weight: term.Weight})
		}
	}
	return combinations
}

// Source: NIST Statistical Reference Datasets, Longley and Norris: certified values.
func TestFixedPathAgreesWithCertifiedRegressions(t *testing.T) {
	longley, err := mixedmodel.Fit(model(readColumns(t, "longley"), "y", []string{"x1", "x2", "x3", "x4", "x5", "x6"}, nil, ""))
	require.NoError(t, err)
	for j, want := range []float64{-3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683,
		-1.03322686717359, -0.0511041056535807, 1829.15146461355} {
		assert.InEpsilon(t, want, longley.Fixed[j], 1e-9, longley.XNames[j])
	}
	norris, err := mixedmodel.Fit(model(readColumns(t, "norris"), "y", []string{"x"}, nil, ""))
	require.NoError(t, err)
	assert.InEpsilon(t, -0.262323073774029, norris.Fixed[0], 1e-11)
	assert.InEpsilon(t, 1.00211681802045, norris.Fixed[1], 1e-13)
	assert.InEpsilon(t, 0.232818234301152, norris.FixedSE[0], 1e-11)
	assert.InEpsilon(t, 0.000429796848199937, norris.FixedSE[1], 1e-11)
	assert.InEpsilon(t, 0.884796396144373, norris.Sigma, 1e-12)
	df, err := norris.DF(mixedmodel.Combination{Fixed: []float64{0, 1}})
	require.NoError(t, err)
	assert.InDelta(t, 34, df, 1e-9)
}

// Source: R's lm, testdata/reference/statistics.R.
func TestFixedPathStandardErrorsAgreeWithReference(t *testing.T) {
	var reference struct {
		Longley struct {
			SE            []float64
			SD, Criterion float64
		}
	}
	readResults(t, "statistics", &reference)
	got, err := mixedmodel.Fit(model(readColumns(t, "longley"), "y", []string{"x1", "x2", "x3", "x4", "x5", "x6"}, nil, ""))
	require.NoError(t, err)
	require.Len(t, reference.Longley.SE, 7)
	for j, want := range reference.Longley.SE {
		assert.InEpsilon(t, want, got.FixedSE[j], 1e-7)
	}
	assert.InEpsilon(t, reference.Longley.SD, got.Sigma, 1e-9)
	assert.InDelta(t, reference.Longley.Criterion, got.Criterion, 1e-6)
}
