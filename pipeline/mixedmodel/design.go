package mixedmodel

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// singularShare is the share of a fixed covariate's length that must lie outside the span of the covariates before it.
const singularShare = 1e-10

// fixedPart is the least-squares fit of Y on X by Householder QR. The mixed model is then solved for the residual in the
// orthonormal columns q, so that no normal equations of X are ever formed: X = q r, b = coefficients + r^-1 delta.
type fixedPart struct {
	q            *mat.Dense    // n x p, orthonormal columns; nil when p = 0
	r            *mat.TriDense // p x p, upper
	coefficients []float64     // p, least squares
	residual     []float64     // n, divided by scale
	scale        float64       // root of the residual sum of squares / (n - p)
	logDet       float64       // log |X'X|
}

func norm(values []float64) float64 { return floats.Norm(values, 2) }

// fitFixed decomposes X with columns scaled to length 1 and refines the coefficients once with the residual.
func fitFixed(m *Model) (*fixedPart, error) {
	n, p := len(m.Y), len(m.X)
	part := &fixedPart{coefficients: make([]float64, p), residual: make([]float64, n)}
	copy(part.residual, m.Y)
	if p > 0 {
		if err := part.decompose(m); err != nil {
			return nil, err
		}
		part.project(m)
		part.project(m)
	}
	part.scale = norm(part.residual) / math.Sqrt(float64(n-p))
	if math.IsInf(part.scale, 0) || math.IsNaN(part.scale) {
		return nil, fault(NotFinite, "response", "overflow")
	}
	if part.scale <= 1e-13*norm(m.Y)/math.Sqrt(float64(n)) {
		return nil, fault(NoResidual, "", "the fixed covariates explain every row")
	}
	floats.Scale(1/part.scale, part.residual)
	return part, nil
}

func (f *fixedPart) decompose(m *Model) error {
	n, p := len(m.Y), len(m.X)
	f.q = mat.NewDense(n, p, nil)
	lengths := make([]float64, p)
	for j, column := range m.X {
		lengths[j] = norm(column)
		if lengths[j] == 0 || math.IsInf(lengths[j], 0) {
			return fault(SingularFixed, m.XNames[j], "length %g", lengths[j])
		}
		for i, value := range column {
			f.q.Set(i, j, value/lengths[j])
		}
	}
	tau := make([]float64, p)
	raw := f.q.RawMatrix()
	size := make([]float64, 1)
	lapack64.Geqrf(raw, tau, size, -1)
	work := make([]float64, max(int(size[0]), p))
	lapack64.Geqrf(raw, tau, work, len(work))
	f.r = mat.NewTriDense(p, mat.Upper, nil)
	for j := range p {
		diagonal := math.Abs(f.q.At(j, j))
		if !(diagonal > singularShare) {
			return fault(SingularFixed, m.XNames[j], "a combination of the covariates before it")
		}
		f.logDet += 2 * (math.Log(diagonal) + math.Log(lengths[j]))
		for i := range j + 1 {
			f.r.SetTri(i, j, f.q.At(i, j)*lengths[j])
		}
	}
	lapack64.Orgqr(raw, tau, work, len(work))
	return nil
}

// project moves what X explains from the residual into the coefficients.
func (f *fixedPart) project(m *Model) {
	p := len(m.X)
	part := make([]float64, p)
	raw := f.q.RawMatrix()
	residual := blas64.Vector{N: len(f.residual), Data: f.residual, Inc: 1}
	step := blas64.Vector{N: p, Data: part, Inc: 1}
	blas64.Gemv(blas.Trans, 1, raw, residual, 0, step)
	blas64.Gemv(blas.NoTrans, -1, raw, step, 1, residual)
	floats.Add(f.coefficients, f.unrotate(part))
}

// unrotate is r^-1 values: from the coordinates of q to those of X.
func (f *fixedPart) unrotate(values []float64) []float64 { return f.solve(blas.NoTrans, values) }

// rotate is r^-T values: a combination of b as one of the coordinates of q.
func (f *fixedPart) rotate(values []float64) []float64 { return f.solve(blas.Trans, values) }

func (f *fixedPart) solve(transposed blas.Transpose, values []float64) []float64 {
	result := slices.Clone(values)
	if len(result) > 0 {
		blas64.Trsv(transposed, f.r.RawTriangular(), blas64.Vector{N: len(result), Data: result, Inc: 1})
	}
	return result
}
