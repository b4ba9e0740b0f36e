package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Component is one variance of the model.
type Component struct {
	Name       string
	Factor     int     // index into Model.Factors
	IsSlope    bool    // a slope per level; else an intercept per level
	Levels     int     // number of levels
	Theta      float64 // SD / sigma, >= 0
	SD         float64 // in units of the response (per unit of the covariate for a slope)
	AtBoundary bool    // the variance is estimated as exactly 0
}

// Result is a fitted model. All numbers are finite.
type Result struct {
	Rows       int
	Criterion  float64     // REML criterion, -2 log of the restricted likelihood
	Sigma      float64     // residual standard deviation
	Components []Component // factors, then slopes, in their order
	XNames     []string
	Fixed      []float64   // b, one per fixed covariate
	FixedSE    []float64   // standard errors of b
	Effects    [][]float64 // best linear unbiased predictions, per component and level
	Fitted     []float64   // X b + Z u per row
	Residual   []float64   // y - fitted per row
	Warnings   []string    // caveats in words; empty where there is none

	system  *system
	inverse *mat.SymDense // of the mixed-model equations, upper triangle
	hessian *hessianRoots
}

// Fit estimates the model by REML. The error, if any, is a *Fault.
//
// Without components it is ordinary least squares; the criterion is then the REML criterion of the linear model. A component
// whose variance is estimated as 0 stays in the result, marked AtBoundary, with all its effects 0.
func Fit(m Model) (*Result, error) {
	blocks, err := m.blocks()
	if err != nil {
		return nil, err
	}
	fixed, err := fitFixed(&m)
	if err != nil {
		return nil, err
	}
	c := newCross(blocks, fixed)
	if err := c.checkIdentified(); err != nil {
		return nil, err
	}
	s, err := c.search()
	if err != nil {
		return nil, err
	}
	return newResult(&m, s)
}

func newResult(m *Model, s *system) (*Result, error) {
	c := s.cross
	r := &Result{Rows: c.n, Criterion: s.criterion, XNames: append([]string(nil), m.XNames...), system: s, inverse: s.inverse()}
	r.Sigma = c.fixed.scale * math.Sqrt(s.squares/float64(c.n-c.p))
	for k, one := range c.blocks {
		theta := s.theta[k] / one.scale
		r.Components = append(r.Components, Component{Name: one.name, Factor: one.factor, IsSlope: one.isSlope, Levels: one.size,
			Theta: theta, SD: theta * r.Sigma, AtBoundary: theta == 0})
	}
	r.Fixed = c.fixed.unrotate(s.delta) // from the coordinates of q
	for j := range r.Fixed {
		r.Fixed[j] = r.Fixed[j]*c.fixed.scale + c.fixed.coefficients[j]
		unit := Combination{Fixed: make([]float64, c.p)}
		unit.Fixed[j] = 1
		r.FixedSE = append(r.FixedSE, math.Sqrt(r.covariance([]Combination{unit}).At(0, 0)))
	}
	for k, component := range r.Components {
		from, to := c.span(k)
		effects := make([]float64, 0, to-from)
		for _, effect := range s.effects[from:to] {
			effects = append(effects, component.Theta*effect*c.fixed.scale)
		}
		r.Effects = append(r.Effects, effects)
	}
	r.Residual = s.residual()
	r.Fitted = make([]float64, c.n)
	for i := range r.Residual {
		r.Residual[i] *= c.fixed.scale
		r.Fitted[i] = m.Y[i] - r.Residual[i]
	}
	if err := r.prepareDF(); err != nil {
		return nil, err
	}
	return r, r.checkFinite()
}

// checkFinite is the last guard: a number that overflowed is a fault, never a result.
func (r *Result) checkFinite() error {
	numbers := append([]float64{r.Criterion, r.Sigma}, r.Fixed...)
	numbers = append(append(numbers, r.FixedSE...), r.Fitted...)
	for _, component := range r.Components {
		numbers = append(numbers, component.SD)
	}
	for _, effects := range r.Effects {
		numbers = append(numbers, effects...)
	}
	for _, number := range numbers {
		if math.IsNaN(number) || math.IsInf(number, 0) {
			return fault(NotFinite, "", "the arithmetic overflowed")
		}
	}
	return nil
}
