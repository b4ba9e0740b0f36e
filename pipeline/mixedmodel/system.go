package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// system is the mixed-model equations at one theta: factorised and solved, on the scale of the residual of the fixed part.
type system struct {
	cross     *cross
	theta     []float64 // per block, for the scaled covariates
	leadDiag  []float64 // theta^2 * leadSum + 1
	weights   []float64 // per column after the lead: its theta, 1 for the columns of Q
	factor    mat.Cholesky
	effects   []float64 // v, q values in the order of the columns
	delta     []float64 // p values, coordinates of q
	squares   float64   // r2, the penalised residual sum of squares
	criterion float64   // d(theta)
}

// solve factorises and solves at theta. ok is false where the equations cannot be factorised in double precision.
//
// The lead block is eliminated first: it is diagonal, so what is left is the Schur complement of q - lead + p columns, summed
// over the sparse rows of the lead. With the columns of Q among them, the log-determinant of the whole is
// log|Lambda Z'Z Lambda + I| + log|Q'V^-1 Q|.
func (c *cross) solve(theta []float64) (s *system, ok bool) {
	s = &system{cross: c, theta: append([]float64(nil), theta...)}
	s.weigh()
	logDet, ok := s.factorise()
	if !ok {
		return nil, false
	}
	s.solveEffects()
	s.squares = s.penalisedSquares()
	free := float64(c.n - c.p)
	s.criterion = logDet + c.fixed.logDet + free*(1+math.Log(2*math.Pi*s.squares/free)+2*math.Log(c.fixed.scale))
	return s, !math.IsNaN(s.criterion) && !math.IsInf(s.criterion, 0)
}

func (s *system) weigh() {
	c := s.cross
	s.weights = make([]float64, c.restSize)
	for j := range s.weights {
		s.weights[j] = 1
	}
	for k := range c.blocks {
		if k == c.lead {
			continue
		}
		from, to := c.span(k)
		for j := from; j < to; j++ {
			s.weights[j-c.leadSize()] = s.theta[k]
		}
	}
	s.leadDiag = make([]float64, c.leadSize())
	for level, sum := range c.leadSum {
		s.leadDiag[level] = s.leadTheta()*s.leadTheta()*sum + 1
	}
}

func (s *system) leadTheta() float64 {
	if s.cross.lead < 0 {
		return 0
	}
	return s.theta[s.cross.lead]
}

// factorise forms the Schur complement and its Cholesky factor, and returns the log-determinant of the whole.
func (s *system) factorise() (logDet float64, ok bool) {
	for _, diagonal := range s.leadDiag {
		logDet += math.Log(diagonal)
	}
	size := s.cross.restSize
	if size == 0 {
		return logDet, true
	}
	sums := make([]float64, size*size)
	rest := s.cross.rest.RawSymmetric().Data
	for a := range size {
		for b := a; b < size; b++ {
			sums[a*size+b] = s.weights[a] * s.weights[b] * rest[a*size+b]
		}
		if a < size-s.cross.p {
			sums[a*size+a]++
		}
	}
	theta := s.leadTheta()
	for level, row := range s.cross.leadRows {
		if theta == 0 {
			break
		}
		for a, left := range row {
			share := theta * theta / s.leadDiag[level] * s.weights[left.column] * left.value
			line := sums[left.column*size:]
			for _, right := range row[a:] {
				line[right.column] -= share * s.weights[right.column] * right.value
			}
		}
	}
	if !s.factor.Factorize(mat.NewSymDense(size, sums)) {
		return 0, false
	}
	return logDet + s.factor.LogDet(), true
}

// solveEffects fills effects and delta by forward and back substitution around the Schur complement.
func (s *system) solveEffects() {
	c := s.cross
	theta := s.leadTheta()
	right := make([]float64, c.restSize)
	for j := range right {
		right[j] = s.weights[j] * c.restY[j]
	}
	for level, row := range c.leadRows {
		share := theta * theta * c.leadY[level] / s.leadDiag[level]
		for _, one := range row {
			right[one.column] -= share * s.weights[one.column] * one.value
		}
	}
	solution := make([]float64, c.restSize)
	if c.restSize > 0 {
		// A condition warning comes with a usable answer; the criterion is checked for finiteness.
		_ = s.factor.SolveVecTo(mat.NewVecDense(c.restSize, solution), mat.NewVecDense(c.restSize, right))
	}
	s.effects = make([]float64, c.random)
	copy(s.effects[c.leadSize():], solution)
	s.delta = solution[c.restSize-c.p:]
	for level, row := range c.leadRows {
		value := theta * c.leadY[level]
		for _, one := range row {
			value -= theta * s.weights[one.column] * one.value * solution[one.column]
		}
		s.effects[level] = value / s.leadDiag[level]
	}
}

// residual is y - X b - Z u per row, on the scale of the fixed part's residual.
func (s *system) residual() []float64 {
	c := s.cross
	result := append([]float64(nil), c.fixed.residual...)
	for i := range result {
		for k, one := range c.blocks {
			result[i] -= s.theta[k] * one.values[i] * s.effects[c.offsets[k]+one.levels[i]]
		}
		for j, value := range s.delta {
			result[i] -= c.fixed.q.At(i, j) * value
		}
	}
	return result
}

func (s *system) penalisedSquares() float64 {
	sum := 0.0
	for _, value := range s.residual() {
		sum += value * value
	}
	for _, value := range s.effects {
		sum += value * value
	}
	return sum
}

// inverse is the inverse of the mixed-model equations, (q + p) x (q + p), in the order of the columns, for spherical effects
// and the coordinates of q. Only its upper triangle is filled. (1 x 1 and unused where there is no column.)
func (s *system) inverse() *mat.SymDense {
	c := s.cross
	shift := c.leadSize()
	result := mat.NewSymDense(max(1, c.random+c.p), nil)
	complement := make([]float64, c.restSize*c.restSize)
	if c.restSize > 0 {
		var rest mat.SymDense
		// As in solveEffects: only the condition warning can come here.
		_ = s.factor.InverseTo(&rest)
		for a := range c.restSize {
			for b := a; b < c.restSize; b++ {
				value := rest.At(a, b)
				complement[a*c.restSize+b], complement[b*c.restSize+a] = value, value
				result.SetSym(shift+a, shift+b, value)
			}
		}
	}
	s.leadAgainstRest(result, complement)
	s.leadAgainstLead(result)
	return result
}

// leadAgainstRest fills -D^-1 F C, where D is the lead's diagonal, F its weighted rows and C the inverse of the complement.
func (s *system) leadAgainstRest(result *mat.SymDense, complement []float64) {
	c := s.cross
	raw := result.RawSymmetric()
	for level, row := range c.leadRows {
		line := raw.Data[level*raw.Stride+c.leadSize() : (level+1)*raw.Stride]
		for _, one := range row {
			share := -s.leadTheta() * s.weights[one.column] * one.value / s.leadDiag[level]
			floats.AddScaled(line, share, complement[one.column*c.restSize:(one.column+1)*c.restSize])
		}
	}
}

// leadAgainstLead fills D^-1 - (lead against rest) F' D^-1.
func (s *system) leadAgainstLead(result *mat.SymDense) {
	c := s.cross
	shift := c.leadSize()
	raw := result.RawSymmetric()
	for a := range c.leadRows {
		line := raw.Data[a*raw.Stride:]
		for b := a; b < shift; b++ {
			value := 0.0
			for _, one := range c.leadRows[b] {
				value -= line[shift+one.column] * s.weights[one.column] * one.value
			}
			line[b] = value * s.leadTheta() / s.leadDiag[b]
		}
		line[a] += 1 / s.leadDiag[a]
	}
}
