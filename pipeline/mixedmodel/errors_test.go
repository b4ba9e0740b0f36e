package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// What outside programs tell of a fit and the program has no use for.

// EffectSDs are, of an effect, the root of the variance given b, as lme4's condVar, and that of the prediction error variance, b's error
// included.
func (r *Result) EffectSDs(component, level int) (conditional, prediction float64) {
	c := r.system.cross
	from, _ := c.span(component)
	at, unit := from+level, r.Components[component].Theta*r.Sigma
	whole, ofFixed := r.inverse.At(at, at), 0.0
	if c.p > 0 {
		fixed := invertBlock(r.inverse, c.random, c.p)
		ofFixed = fixedShare(r.inverse, &fixed, at, c.random, c.p)
	}
	return unit * math.Sqrt(math.Max(0, whole-ofFixed)), unit * math.Sqrt(whole)
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
