package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// moments are what the derivatives of the criterion are made of. With W = I - C over the spherical effects,
// W_kl = theta_k theta_l Z_k'P Z_l and v_k = theta_k Z_k'P y (Johnson and Thompson 1995):
// trace_k = tr W_kk, square_kl = |W_kl|^2 (Frobenius), form_kl = v_k'W_kl v_l, length_k = v_k'v_k.
type moments struct {
	trace, length []float64
	square, form  [][]float64
}

// moments sums over the blocks. Rows with theta 0 give zeros.
func (s *system) moments(inverse *mat.SymDense) moments {
	count := len(s.theta)
	m := moments{trace: make([]float64, count), length: make([]float64, count), square: squareTable(count), form: squareTable(count)}
	raw := inverse.RawSymmetric()
	for k := range count {
		for l := k; l < count; l++ {
			square, form := s.blockMoments(raw.Data, raw.Stride, k, l)
			m.square[k][l], m.square[l][k] = square, square
			m.form[k][l], m.form[l][k] = form, form
		}
		from, to := s.cross.span(k)
		for a := from; a < to; a++ {
			m.trace[k] += 1 - raw.Data[a*raw.Stride+a]
			m.length[k] += s.effects[a] * s.effects[a]
		}
	}
	return m
}

func squareTable(count int) [][]float64 {
	table := make([][]float64, count)
	for k := range table {
		table[k] = make([]float64, count)
	}
	return table
}

// blockMoments is |W_kl|^2 and v_k'W_kl v_l. Only the upper triangle of the inverse is read.
func (s *system) blockMoments(data []float64, stride, k, l int) (square, form float64) {
	fromK, toK := s.cross.span(k)
	fromL, toL := s.cross.span(l)
	if fromK > fromL {
		fromK, toK, fromL, toL = fromL, toL, fromK, toK
	}
	for a := fromK; a < toK; a++ {
		line := data[a*stride:]
		first := fromL
		if k == l {
			first = a
		}
		for b := first; b < toL; b++ {
			value, twice := -line[b], 1.0
			if k == l && a == b {
				value++
			} else if k == l {
				twice = 2
			}
			square += twice * value * value
			form += twice * s.effects[a] * value * s.effects[b]
		}
	}
	return square, form
}

// profiled returns the gradient and Hessian of the profiled criterion d in the theta of the active blocks (all > 0).
func (s *system) profiled(m moments, active []int) (gradient []float64, hessian *mat.SymDense) {
	free := float64(s.cross.n - s.cross.p)
	variance := s.squares / free
	gradient = make([]float64, len(active))
	hessian = mat.NewSymDense(len(active), nil)
	for a, k := range active {
		gradient[a] = 2 / s.theta[k] * (m.trace[k] - m.length[k]/variance)
		for b := a; b < len(active); b++ {
			l := active[b]
			value := -m.square[k][l] + 2*m.form[k][l]/variance - m.length[k]*m.length[l]/(free*variance*variance)
			value *= 4 / (s.theta[k] * s.theta[l])
			if a == b {
				value += gradient[a] / s.theta[k]
			}
			hessian.SetSym(a, b, value)
		}
	}
	return gradient, hessian
}

// full returns the Hessian of the REML deviance in (theta of the active blocks, sigma), sigma last and 1 = the scale of the
// residual, at the profiled sigma: what lmerTest takes numerically for Satterthwaite's degrees of freedom.
func (s *system) full(m moments, active []int) *mat.SymDense {
	free := float64(s.cross.n - s.cross.p)
	variance := s.squares / free
	size := len(active)
	hessian := mat.NewSymDense(size+1, nil)
	for a, k := range active {
		for b := a; b < size; b++ {
			l := active[b]
			value := 4 / (s.theta[k] * s.theta[l]) * (-m.square[k][l] + 2*m.form[k][l]/variance)
			if a == b {
				value += 2 / (s.theta[k] * s.theta[k]) * (m.trace[k] - m.length[k]/variance)
			}
			hessian.SetSym(a, b, value)
		}
		hessian.SetSym(a, size, 4*m.length[k]/(s.theta[k]*variance*math.Sqrt(variance)))
	}
	hessian.SetSym(size, size, 4*free/variance)
	return hessian
}
