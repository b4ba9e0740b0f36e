package mixedmodel

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// small is an unbalanced crossed model of rows rows from a seed: intercept, x; storm, crew, slope of x per crew.
func small(seed uint64, rows, storms, crews int, sd float64) Model {
	random := rand.New(rand.NewPCG(seed, 7))
	m := Model{X: make([][]float64, 2), XNames: []string{"one", "x"}, Factors: []Factor{{Name: "storm"}, {Name: "crew"}},
		Slopes: []Slope{{Name: "slope", Factor: 1}}}
	effects := make([]float64, storms+2*crews)
	for i := range effects {
		effects[i] = sd * random.NormFloat64()
	}
	for i := range rows {
		s, c := i%storms, i%crews
		if i >= max(storms, crews) {
			s, c = random.IntN(storms), random.IntN(crews)
		}
		x := float64(random.IntN(9)) / 2
		m.X[0], m.X[1] = append(m.X[0], 1), append(m.X[1], x)
		m.Factors[0].Levels = append(m.Factors[0].Levels, s)
		m.Factors[1].Levels = append(m.Factors[1].Levels, c)
		m.Y = append(m.Y, 5-0.1*x+effects[s]+effects[storms+c]+effects[storms+crews+c]*x/3+0.2*random.NormFloat64())
	}
	m.Slopes[0].Covariate = m.X[1]
	return m
}

// denseCriterion is the REML criterion from the n x n matrix V itself: nothing shared with the program but the formula.
func denseCriterion(m Model, theta []float64) float64 {
	n, p := len(m.Y), len(m.X)
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			value := 0.0
			if i == j {
				value = 1
			}
			for f, factor := range m.Factors {
				if factor.Levels[i] == factor.Levels[j] {
					value += theta[f] * theta[f]
				}
			}
			if levels := m.Factors[m.Slopes[0].Factor].Levels; levels[i] == levels[j] {
				value += theta[len(m.Factors)] * theta[len(m.Factors)] * m.Slopes[0].Covariate[i] * m.Slopes[0].Covariate[j]
			}
			v.SetSym(i, j, value)
		}
	}
	x := mat.NewDense(n, p, nil)
	for j, column := range m.X {
		x.SetCol(j, column)
	}
	var factor, inner mat.Cholesky
	factor.Factorize(v)
	var vx, xvx mat.Dense
	_ = factor.SolveTo(&vx, x)
	xvx.Mul(x.T(), &vx)
	symmetric := mat.NewSymDense(p, nil)
	for a := range p {
		for b := a; b < p; b++ {
			symmetric.SetSym(a, b, xvx.At(a, b))
		}
	}
	inner.Factorize(symmetric)
	y := mat.NewVecDense(n, append([]float64(nil), m.Y...))
	var vy, xvy, b, fitted, rest, vrest mat.VecDense
	_ = factor.SolveVecTo(&vy, y)
	xvy.MulVec(x.T(), &vy)
	_ = inner.SolveVecTo(&b, &xvy)
	fitted.MulVec(x, &b)
	rest.SubVec(y, &fitted)
	_ = factor.SolveVecTo(&vrest, &rest)
	free := float64(n - p)
	return factor.LogDet() + inner.LogDet() + free*(1+math.Log(2*math.Pi*mat.Dot(&rest, &vrest)/free))
}

func prepared(t *testing.T, m Model) *cross {
	t.Helper()
	blocks, err := m.blocks()
	require.NoError(t, err)
	fixed, err := fitFixed(&m)
	require.NoError(t, err)
	return newCross(blocks, fixed)
}

func TestCriterionEqualsDenseCriterion(t *testing.T) {
	for seed := range uint64(5) {
		m := small(seed, 40, 9, 5, 0.3)
		c := prepared(t, m)
		for _, theta := range [][]float64{{1, 1, 1}, {0, 0.5, 0.1}, {2, 0, 0.02}, {0, 0, 0}, {30, 10, 5}} {
			scaled := []float64{theta[0], theta[1], theta[2] * c.blocks[2].scale}
			s, ok := c.solve(scaled)
			require.True(t, ok)
			assert.InDelta(t, denseCriterion(m, theta), s.criterion, 1e-8, "seed %d theta %v", seed, theta)
		}
	}
}

// Exact derivatives against central differences of the criterion.
func TestDerivativesEqualDifferences(t *testing.T) {
	c := prepared(t, small(3, 60, 12, 5, 0.3))
	theta, active := []float64{0.8, 1.1, 0.4}, []int{0, 1, 2}
	s, ok := c.solve(theta)
	require.True(t, ok)
	gradient, hessian := s.profiled(s.moments(s.inverse()), active)
	const step = 1e-4
	shifted := func(k int, by float64) *system {
		moved := append([]float64(nil), theta...)
		moved[k] += by
		s, ok := c.solve(moved)
		require.True(t, ok)
		return s
	}
	for k := range theta {
		up, down := shifted(k, step), shifted(k, -step)
		assert.InDelta(t, (up.criterion-down.criterion)/(2*step), gradient[k], 1e-5)
		above, _ := up.profiled(up.moments(up.inverse()), active)
		below, _ := down.profiled(down.moments(down.inverse()), active)
		for l := range theta {
			assert.InDelta(t, (above[l]-below[l])/(2*step), hessian.At(k, l), 1e-5)
		}
	}
}

// The end of the search is nowhere above the criterion at theta drawn at random, whether near it or far, at the bound or not.
func TestSearchEndsAtTheLowestPoint(t *testing.T) {
	boundary := 0
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 9))
		m := small(seed, 12+random.IntN(40), 2+random.IntN(8), 2+random.IntN(4), []float64{0, 0.05, 0.3}[seed%3])
		got, err := Fit(m)
		require.NoError(t, err, "seed %d", seed)
		c := prepared(t, m)
		for _, component := range got.Components {
			if component.AtBoundary {
				boundary++
			}
		}
		for range 300 {
			theta := make([]float64, 3)
			for k := range theta {
				switch random.IntN(3) {
				case 0:
					theta[k] = got.Components[k].Theta * c.blocks[k].scale * math.Exp(0.1*random.NormFloat64())
				case 1:
					theta[k] = math.Exp(2*random.NormFloat64() - 1)
				}
			}
			if s, ok := c.solve(theta); ok {
				assert.GreaterOrEqual(t, s.criterion, got.Criterion-1e-7, "seed %d theta %v against %+v", seed, theta, got.Components)
			}
		}
	}
	assert.Greater(t, boundary, 10, "the cases must reach the bound")
}

// A level more or less, another order of rows or factors, another unit: the same model.
func TestFitDoesNotDependOnHowTheModelIsWritten(t *testing.T) {
	m := small(11, 50, 8, 5, 0.3)
	want, err := Fit(m)
	require.NoError(t, err)
	turned := m
	turned.Factors = []Factor{m.Factors[1], m.Factors[0]}
	turned.Slopes = []Slope{{Name: "slope", Factor: 0, Covariate: m.Slopes[0].Covariate}}
	turned.Y = make([]float64, len(m.Y))
	for i, value := range m.Y {
		turned.Y[i] = 1000 * value
	}
	got, err := Fit(turned)
	require.NoError(t, err)
	assert.InEpsilon(t, 1000*want.Fixed[1], got.Fixed[1], 1e-8)
	assert.InEpsilon(t, 1000*want.FixedSE[1], got.FixedSE[1], 1e-8)
	assert.InEpsilon(t, 1000*want.Components[0].SD, got.Components[1].SD, 1e-6)
	assert.InEpsilon(t, 1000*want.Components[2].SD, got.Components[2].SD, 1e-6)
	assert.InDelta(t, want.Criterion+float64(len(m.Y)-2)*2*math.Log(1000), got.Criterion, 1e-7)
}
