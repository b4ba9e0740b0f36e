package mixedmodel_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/mixedmodel"
)

// sound is a small model that fits; each case below spoils one thing in it.
func sound() mixedmodel.Model {
	return model(map[string][]float64{
		"y":     {1.0, 2.1, 2.9, 4.2, 1.4, 2.2, 3.6, 4.1, 0.7, 1.8, 3.1, 3.7},
		"x":     {0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3},
		"crew":  {0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2},
		"storm": {0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3},
	}, "y", []string{"x"}, []string{"storm", "crew"}, "x")
}

func TestSoundModelFits(t *testing.T) {
	got, err := mixedmodel.Fit(sound())
	require.NoError(t, err)
	assert.Len(t, got.Components, 3)
	assert.Equal(t, []string{"storm", "crew", "slope_crew"},
		[]string{got.Components[0].Name, got.Components[1].Name, got.Components[2].Name})
	for i := range got.Residual {
		assert.InDelta(t, sound().Y[i], got.Fitted[i]+got.Residual[i], 1e-14)
	}
}

func TestSpoiltModelsAreFaults(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(*mixedmodel.Model)
		kind  mixedmodel.Kind
		about string
	}{
		{"no rows", func(m *mixedmodel.Model) { *m = mixedmodel.Model{} }, mixedmodel.FewRows, ""},
		{"few rows", func(m *mixedmodel.Model) { *m = head(*m, 5) }, mixedmodel.FewRows, ""},
		{"just enough rows, one crew and a bit", func(m *mixedmodel.Model) { *m = head(*m, 6); fill(m.Y, 1) }, mixedmodel.NoResidual, ""},
		{"names", func(m *mixedmodel.Model) { m.XNames = nil }, mixedmodel.Shape, ""},
		{"short column", func(m *mixedmodel.Model) { m.X[1] = m.X[1][1:] }, mixedmodel.Shape, "x"},
		{"short levels", func(m *mixedmodel.Model) { m.Factors[0].Levels = []int{0, 1} }, mixedmodel.Shape, "storm"},
		{"negative level", func(m *mixedmodel.Model) { m.Factors[1].Levels[2] = -1 }, mixedmodel.Shape, "crew"},
		{"huge level", func(m *mixedmodel.Model) { m.Factors[1].Levels[2] = math.MaxInt }, mixedmodel.Shape, "crew"},
		{"level without a row", func(m *mixedmodel.Model) { m.Factors[1].Levels[2] = 4 }, mixedmodel.Shape, "crew"},
		{"slope of no factor", func(m *mixedmodel.Model) { m.Slopes[0].Factor = 2 }, mixedmodel.Shape, "slope_crew"},
		{"missing response", func(m *mixedmodel.Model) { m.Y[3] = math.NaN() }, mixedmodel.NotFinite, "response"},
		{"infinite covariate", func(m *mixedmodel.Model) { m.X[1][3] = math.Inf(-1) }, mixedmodel.NotFinite, "x"},
		{"constant covariate", func(m *mixedmodel.Model) { fill(m.X[1], 24.3); m.Slopes = nil }, mixedmodel.SingularFixed, "x"},
		{"covariate of zeros", func(m *mixedmodel.Model) { fill(m.X[1], 0); m.Slopes = nil }, mixedmodel.SingularFixed, "x"},
		{"constant slope", func(m *mixedmodel.Model) { m.Slopes[0].Covariate = fill(make([]float64, 12), 0.1) }, mixedmodel.ConstantSlope,
			"slope_crew"},
		{"one crew", func(m *mixedmodel.Model) { m.Factors[1].Levels = make([]int, 12) }, mixedmodel.OneLevel, "crew"},
		{"storm twice", func(m *mixedmodel.Model) { m.Factors[1].Levels = m.Factors[0].Levels; m.Slopes = nil }, mixedmodel.Confounded,
			"crew"},
		{"a level a row", func(m *mixedmodel.Model) { m.Factors[0].Levels = []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11} },
			mixedmodel.Confounded, "storm"},
		{"storms as covariates", storms, mixedmodel.Confounded, "storm"},
		{"constant response", func(m *mixedmodel.Model) { fill(m.Y, 5.7) }, mixedmodel.NoResidual, ""},
		{"response of zeros", func(m *mixedmodel.Model) { fill(m.Y, 0) }, mixedmodel.NoResidual, ""},
		{"response on the line", func(m *mixedmodel.Model) { copy(m.Y, m.X[1]) }, mixedmodel.NoResidual, ""},
		{"response by crew alone", func(m *mixedmodel.Model) { copy(m.Y, []float64{1, 1, 1, 1, 4, 4, 4, 4, 2, 2, 2, 2}) },
			mixedmodel.NoResidual, "crew"},
	}
	for _, one := range cases {
		t.Run(one.name, func(t *testing.T) {
			m := sound()
			one.spoil(&m)
			_, err := mixedmodel.Fit(m)
			var fault *mixedmodel.Fault
			require.ErrorAs(t, err, &fault)
			assert.Equal(t, one.kind, fault.Kind, fault.Error())
			assert.Equal(t, one.about, fault.Name, fault.Error())
		})
	}
}

func fill(values []float64, value float64) []float64 {
	for i := range values {
		values[i] = value
	}
	return values
}

func head(m mixedmodel.Model, rows int) mixedmodel.Model {
	m.Y = m.Y[:rows]
	for j := range m.X {
		m.X[j] = m.X[j][:rows]
	}
	for f := range m.Factors {
		m.Factors[f].Levels = m.Factors[f].Levels[:rows]
	}
	m.Slopes[0].Covariate = m.Slopes[0].Covariate[:rows]
	return m
}

// storms replaces the covariate by an indicator of each storm but the first.
func storms(m *mixedmodel.Model) {
	m.X, m.XNames = m.X[:1], m.XNames[:1]
	for level := 1; level < 4; level++ {
		column := make([]float64, len(m.Y))
		for i, at := range m.Factors[0].Levels {
			if at == level {
				column[i] = 1
			}
		}
		m.X, m.XNames = append(m.X, column), append(m.XNames, "indicator")
	}
}

func TestSpoiltCombinationsAreFaults(t *testing.T) {
	got, err := mixedmodel.Fit(sound())
	require.NoError(t, err)
	cases := map[string]struct {
		one  mixedmodel.Combination
		kind mixedmodel.Kind
	}{
		"too many weights": {mixedmodel.Combination{Fixed: []float64{1, 0, 0}}, mixedmodel.Shape},
		"no component":     {mixedmodel.Combination{Random: []mixedmodel.Term{{Component: 3}}}, mixedmodel.Shape},
		"no level":         {mixedmodel.Combination{Random: []mixedmodel.Term{{Component: 1, Level: 3, Weight: 1}}}, mixedmodel.Shape},
		"missing weight":   {mixedmodel.Combination{Fixed: []float64{math.NaN(), 0}}, mixedmodel.NotFinite},
		"huge weight":      {mixedmodel.Combination{Fixed: []float64{math.MaxFloat64, 0}}, mixedmodel.NotFinite},
		"nothing":          {mixedmodel.Combination{}, mixedmodel.NoVariance},
	}
	for name, one := range cases {
		_, err := got.Predict(one.one)
		var fault *mixedmodel.Fault
		require.ErrorAs(t, err, &fault, name)
		assert.Equal(t, one.kind, fault.Kind, name)
	}
	_, _, err = got.Combine()
	require.Error(t, err)
}

// Whatever small data come in, Fit gives finite numbers or a fault, and the same bits twice.
func TestFitNeverPanicsAndRepeatsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawModel(t)
		first, err := mixedmodel.Fit(m)
		if err != nil {
			var fault *mixedmodel.Fault
			require.ErrorAs(t, err, &fault)
			if fault.Kind == mixedmodel.NotConverged {
				t.Logf("not converged: %v", fault)
			}
			return
		}
		second, err := mixedmodel.Fit(m)
		require.NoError(t, err)
		assert.Equal(t, first.Criterion, second.Criterion)
		assert.Equal(t, first.Fixed, second.Fixed)
		for _, component := range first.Components {
			assert.False(t, math.IsNaN(component.SD) || math.IsInf(component.SD, 0) || component.SD < 0)
		}
		one := mixedmodel.Combination{Fixed: make([]float64, len(first.Fixed)),
			Random: []mixedmodel.Term{{Component: 0, Level: 1, Weight: 1}}}
		one.Fixed[0] = 1
		estimate, err := first.Predict(one)
		require.NoError(t, err)
		assert.Greater(t, estimate.DF, 0.0)
		assert.Greater(t, estimate.SE, 0.0)
	})
}

func drawModel(t *rapid.T) mixedmodel.Model {
	rows := rapid.IntRange(3, 30).Draw(t, "rows")
	value := rapid.OneOf(rapid.Float64Range(-5, 5), rapid.Map(rapid.IntRange(-3, 3), func(i int) float64 { return float64(i) }),
		rapid.Float64())
	column := func(name string) []float64 { return rapid.SliceOfN(value, rows, rows).Draw(t, name) }
	columns := map[string][]float64{"y": column("y"), "x": column("x")}
	for _, name := range []string{"storm", "crew"} {
		size := rapid.IntRange(1, 5).Draw(t, name+" levels")
		for i := range rows {
			level := i
			if i >= size {
				level = rapid.IntRange(0, size-1).Draw(t, name)
			}
			columns[name] = append(columns[name], float64(level))
		}
	}
	slope := rapid.SampledFrom([]string{"", "x"}).Draw(t, "slope")
	return model(columns, "y", []string{"x"}, []string{"storm", "crew"}, slope)
}
