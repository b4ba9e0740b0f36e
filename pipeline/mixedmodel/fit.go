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

// Effect is the prediction of one random effect.
type Effect struct {
	Value       float64 // best linear unbiased prediction
	ConditionSD float64 // given b: root of the conditional variance, as lme4's condVar
	PredictSD   float64 // root of the prediction error variance, b's error included
}

// Result is a fitted model. All numbers are finite.
type Result struct {
	Rows       int
	Criterion  float64     // REML criterion, -2 log of the restricted likelihood
	Sigma      float64     // residual standard deviation
	Components []Component // factors, then slopes, in their order
	XNames     []string
	Fixed      []float64     // b, one per fixed covariate
	FixedSE    []float64     // standard errors of b
	Covariance *mat.SymDense // of b, p x p; nil without fixed covariates
	Effects    [][]Effect    // per component, per level
	Fitted     []float64     // X b + Z u per row
	Residual   []float64     // y - fitted per row
	Warnings   []string      // caveats in words; empty where there is none

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
	r.fillFixed()
	r.fillEffects()
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

// fillFixed turns delta and its covariance from the coordinates of q into b, its covariance and standard errors.
func (r *Result) fillFixed() {
	c := r.system.cross
	r.Fixed = c.fixed.unrotate(r.system.delta)
	for j := range r.Fixed {
		r.Fixed[j] = r.Fixed[j]*c.fixed.scale + c.fixed.coefficients[j]
	}
	r.FixedSE = make([]float64, c.p)
	if c.p == 0 {
		return
	}
	unit := make([]Combination, c.p)
	for j := range unit {
		unit[j].Fixed = make([]float64, c.p)
		unit[j].Fixed[j] = 1
	}
	r.Covariance = r.covariance(unit)
	for j := range r.FixedSE {
		r.FixedSE[j] = math.Sqrt(r.Covariance.At(j, j))
	}
}

func (r *Result) fillEffects() {
	c := r.system.cross
	var fixed mat.SymDense
	if c.p > 0 {
		fixed = invertBlock(r.inverse, c.random, c.p)
	}
	for k, one := range c.blocks {
		theta := r.Components[k].Theta
		effects := make([]Effect, one.size)
		from, _ := c.span(k)
		for level := range effects {
			at := from + level
			whole := r.inverse.At(at, at)
			effects[level] = Effect{
				Value:       theta * r.system.effects[at] * c.fixed.scale,
				ConditionSD: theta * r.Sigma * math.Sqrt(math.Max(0, whole-fixedShare(r.inverse, &fixed, at, c.random, c.p))),
				PredictSD:   theta * r.Sigma * math.Sqrt(whole),
			}
		}
		r.Effects = append(r.Effects, effects)
	}
}

// invertBlock is the inverse of the p x p block of a symmetric positive definite matrix that begins at from.
func invertBlock(whole *mat.SymDense, from, p int) mat.SymDense {
	block := mat.NewSymDense(p, nil)
	for a := range p {
		for b := a; b < p; b++ {
			block.SetSym(a, b, whole.At(from+a, from+b))
		}
	}
	var factor mat.Cholesky
	var inverse mat.SymDense
	if factor.Factorize(block) {
		_ = factor.InverseTo(&inverse) // a condition warning only
	} else {
		inverse = *mat.NewSymDense(p, nil)
	}
	return inverse
}

// fixedShare is the part of effect at's prediction error variance that comes from b: C_vb C_bb^-1 C_bv.
func fixedShare(inverse, fixed *mat.SymDense, at, from, p int) float64 {
	sum := 0.0
	for a := range p {
		for b := range p {
			sum += inverse.At(at, from+a) * fixed.At(a, b) * inverse.At(at, from+b)
		}
	}
	return sum
}

// checkFinite is the last guard: a number that overflowed is a fault, never a result.
func (r *Result) checkFinite() error {
	numbers := append([]float64{r.Criterion, r.Sigma}, r.Fixed...)
	numbers = append(append(numbers, r.FixedSE...), r.Fitted...)
	for _, component := range r.Components {
		numbers = append(numbers, component.SD)
	}
	for _, effects := range r.Effects {
		for _, effect := range effects {
			numbers = append(numbers, effect.Value, effect.ConditionSD, effect.PredictSD)
		}
	}
	for _, number := range numbers {
		if math.IsNaN(number) || math.IsInf(number, 0) {
			return fault(NotFinite, "", "the arithmetic overflowed")
		}
	}
	return nil
}
