package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// flatShare is the eigenvalue, as a share of the largest, below which a direction of the variances counts as flat.
const flatShare = 1e-9

// hessianRoots is the inverse of the Hessian of the deviance in (theta of the active components, sigma), flat directions left
// out, on the scale of the fixed part's residual.
type hessianRoots struct {
	active  []int
	inverse *mat.SymDense
}

// prepareDF decomposes the Hessian. Components at the boundary are dropped: what is left is the model refitted without them.
func (r *Result) prepareDF() error {
	s := r.system
	active := s.active()
	hessian := s.full(s.moments(r.inverse), active)
	size := len(active) + 1
	scale := make([]float64, size)
	for a := range scale {
		scale[a] = math.Sqrt(math.Max(math.Abs(hessian.At(a, a)), 1e-300))
	}
	for a := range size {
		for b := a; b < size; b++ {
			hessian.SetSym(a, b, hessian.At(a, b)/(scale[a]*scale[b]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(hessian, true) {
		return fault(NotConverged, "", "the Hessian of the variances cannot be decomposed")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	inverse := mat.NewSymDense(size, nil)
	for e, value := range values {
		if value <= flatShare*values[size-1] {
			r.Warnings = append(r.Warnings, "the criterion is flat in a direction of the variances; degrees of freedom leave it out")
			continue
		}
		for a := range size {
			for b := a; b < size; b++ {
				inverse.SetSym(a, b, inverse.At(a, b)+vectors.At(a, e)*vectors.At(b, e)/(value*scale[a]*scale[b]))
			}
		}
	}
	r.hessian = &hessianRoots{active: active, inverse: inverse}
	return nil
}

// DF returns Satterthwaite's degrees of freedom of the variance f of a combination's error: 2 f^2 / (g' A g), g the gradient
// of f in (theta, sigma) and A twice the inverse Hessian of the REML deviance there (Kuznetsova, Brockhoff and Christensen
// 2017, Journal of Statistical Software 82(13)); the same rule for combinations with random effects, from their prediction
// error variance. With C c = t, df/dtheta_k = 2 sigma^2 |t_k|^2 / theta_k and df/dsigma = 2 f / sigma.
func (r *Result) DF(one Combination) (float64, error) {
	if err := r.checkCombination(one); err != nil {
		return 0, err
	}
	s := r.system
	row := r.row(one)
	spread := r.spread(row)
	variance := 0.0 // of the combination, in units of sigma^2
	for _, part := range row {
		variance += spread[part.column] * part.value
	}
	if !(variance > 0) {
		return 0, fault(NoVariance, "", "the combination is known exactly")
	}
	sigma := math.Sqrt(s.squares / float64(s.cross.n-s.cross.p))
	gradient := make([]float64, 0, len(r.hessian.active)+1)
	for _, k := range r.hessian.active {
		from, to := s.cross.span(k)
		length := 0.0
		for _, value := range spread[from:to] {
			length += value * value
		}
		gradient = append(gradient, 2*length/(s.theta[k]*variance))
	}
	gradient = append(gradient, 2/sigma)
	vector := mat.NewVecDense(len(gradient), gradient)
	df := 1 / mat.Inner(vector, r.hessian.inverse, vector)
	if !(df > 0) || math.IsInf(df, 0) {
		return 0, fault(NoVariance, "", "the variance of the combination has no spread to take degrees of freedom from")
	}
	return df, nil
}
