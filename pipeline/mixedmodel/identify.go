package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// confoundedShare is the share of a component's variance matrix that must lie outside the span of those before it.
const confoundedShare = 1e-10

// checkIdentified returns a Confounded fault when the variance matrices P, P Z_1 Z_1' P, ... P Z_K Z_K' P (P projects X out)
// are linearly dependent: then some variances cannot be told apart, whatever y is. Their inner products are
// tr(P) = n - p, tr(Z_k'P Z_k) and the squared Frobenius norms of Z_k'P Z_l (Rao 1971, Journal of Multivariate Analysis 1).
func (c *cross) checkIdentified() error {
	count := len(c.blocks)
	gram := mat.NewSymDense(count+1, nil)
	gram.SetSym(0, 0, float64(c.n-c.p))
	all := c.dense()
	for k := range count {
		for l := k; l < count; l++ {
			trace, square := c.projected(all, k, l)
			gram.SetSym(k+1, l+1, square)
			if k == l {
				gram.SetSym(0, k+1, trace)
			}
		}
	}
	for k, one := range c.blocks {
		if c.shareOutside(gram, k+1) < confoundedShare {
			return fault(Confounded, one.name,
				"its variance cannot be told from the residual, the fixed covariates or the components before it")
		}
	}
	return nil
}

// projected returns tr(Z_k'P Z_l) (for k = l) and the squared Frobenius norm of Z_k'P Z_l, P = I - QQ'. A remainder that is
// rounding noise beside what was projected out counts as 0.
func (c *cross) projected(all *mat.SymDense, k, l int) (trace, square float64) {
	fromK, toK := c.span(k)
	fromL, toL := c.span(l)
	for a := fromK; a < toK; a++ {
		for b := fromL; b < toL; b++ {
			whole := all.At(a, b)
			value := whole
			for j := range c.p {
				value -= all.At(a, c.random+j) * all.At(b, c.random+j)
			}
			if math.Abs(value) < 1e-12*math.Abs(whole) {
				value = 0
			}
			square += value * value
			if k == l && a == b {
				trace += value
			}
		}
	}
	return trace, square
}

// shareOutside is the squared share of matrix k of gram outside the span of those before it.
func (c *cross) shareOutside(gram *mat.SymDense, k int) float64 {
	own := gram.At(k, k)
	if own <= 1e-18*math.Pow(float64(c.n), 2) {
		return 0
	}
	before := mat.NewDense(k, k, nil)
	target := mat.NewVecDense(k, nil)
	for a := range k {
		scale := math.Sqrt(gram.At(a, a))
		target.SetVec(a, gram.At(a, k)/scale/math.Sqrt(own))
		for b := range k {
			before.Set(a, b, gram.At(a, b)/scale/math.Sqrt(gram.At(b, b)))
		}
	}
	var weights mat.VecDense
	if err := weights.SolveVec(before, target); err != nil {
		return 0
	}
	return 1 - mat.Dot(&weights, target)
}
