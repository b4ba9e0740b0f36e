package pipeline

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// moves looks for other amounts that fulfil every relation, by which it is shown that an attacker cannot rule them out: the truth, and
// steps from it that change no sum. What is found is checked, so that only a search that finds nothing needs the full linear program.
//
// A step from amounts x is x times the projection of x times weights on what no relation sees of relative changes: affine scaling (Dikin
// 1967, from memory). With the relations as rows of B, each in units of its own, that is the limit of e / (B'B + e) for e near 0, for
// which no relation must be independent of the others.
type moves struct {
	relations []relation // between amounts that none tells alone
	truth     map[int]float64
	fixed     map[int]float64
	free      map[int]bool  // amounts in relations that are above 0
	block     map[int]int   // by amount: the first of those that relations join it to
	rows      map[int][]int // relations by block
	spaces    map[int]*space
	units     map[int][]float64
}

// space is a block's relations in relative changes: row r's sum of coefficient x change is 0 for a step that the relation does not see.
type space struct {
	amounts []int
	at      map[int]int // an amount's place
	x       []float64
	laws    []relation
	columns [][]int
	factors [][]float64
	normal  mat.Cholesky
}

// leastSeen is how much of its largest term a relation may be off: a thousandth of what rounding leaves of published figures.
const leastSeen = 1e-9

func newMoves(known []relation, truth map[int]float64) *moves {
	m := &moves{truth: truth, free: map[int]bool{}, block: map[int]int{}, rows: map[int][]int{}, spaces: map[int]*space{},
		units: map[int][]float64{}}
	m.fixed, m.relations = fixedBy(known)
	for _, r := range m.relations {
		first := -1
		for _, i := range keysOf(r.of) {
			if truth[i] <= 0 {
				continue
			}
			if m.free[i] = true; first < 0 {
				first = i
			}
			m.block[m.find(i)] = m.find(first)
		}
	}
	for at, r := range m.relations {
		for i := range r.of {
			if m.free[i] {
				m.rows[m.find(i)] = append(m.rows[m.find(i)], at)
				break
			}
		}
	}
	return m
}

func (m *moves) find(i int) int {
	for {
		up, found := m.block[i]
		if !found || up == i {
			return i
		}
		i = up
	}
}

// spaceOf is the block of an amount, at the truth.
func (m *moves) spaceOf(i int) *space {
	b := m.find(i)
	if m.spaces[b] == nil {
		s := &space{at: map[int]int{}}
		for _, at := range m.rows[b] {
			s.laws = append(s.laws, m.relations[at])
			for _, k := range keysOf(m.relations[at].of) {
				if _, found := s.at[k]; !found && m.free[k] {
					s.at[k] = len(s.amounts)
					s.amounts, s.x = append(s.amounts, k), append(s.x, m.truth[k])
				}
			}
		}
		m.spaces[b] = s.from(s.x)
	}
	return m.spaces[b]
}

// from is the space of relative changes of other amounts.
func (s *space) from(x []float64) *space {
	out := &space{amounts: s.amounts, at: s.at, laws: s.laws, x: x}
	for _, law := range s.laws {
		var columns []int
		var factors []float64
		square := 0.0
		for _, k := range keysOf(law.of) {
			if i, found := s.at[k]; found {
				columns, factors = append(columns, i), append(factors, law.of[k]*x[i])
				square += law.of[k] * x[i] * law.of[k] * x[i]
			}
		}
		for j := range factors {
			factors[j] /= math.Sqrt(square)
		}
		out.columns, out.factors = append(out.columns, columns), append(out.factors, factors)
	}
	return out.factor()
}

// factor makes ready for unseen.
func (s *space) factor() *space {
	normal := mat.NewSymDense(len(s.x), nil)
	for r, columns := range s.columns {
		for a, i := range columns {
			for b, k := range columns[a:] {
				normal.SetSym(i, k, normal.At(i, k)+s.factors[r][a]*s.factors[r][a+b])
			}
		}
	}
	for i := range s.x {
		normal.SetSym(i, i, normal.At(i, i)+nearZero)
	}
	s.normal.Factorize(normal)
	return s
}

// nearZero is far below what one relation alone adds to the normal equations, and far above what they lose by rounding.
const nearZero = 1e-10

// isUnseen tells whether relations see next to nothing of a change.
func (s *space) isUnseen(change []float64) bool {
	most := 0.0
	for _, c := range change {
		most = max(most, math.Abs(c))
	}
	for r, columns := range s.columns {
		sum := 0.0
		for j, i := range columns {
			sum += s.factors[r][j] * change[i]
		}
		if math.Abs(sum) > leastSeen/10*most {
			return false
		}
	}
	return true
}

// unseen is the part of a change that no relation sees: what they see of it is scaled by about nearZero each time.
func (s *space) unseen(change []float64) []float64 {
	rest := mat.NewVecDense(len(change), slices.Clone(change))
	for range 100 {
		if err := s.normal.SolveVecTo(rest, rest); err != nil && !errors.As(err, new(mat.Condition)) {
			return make([]float64, len(change)) // a step of nothing, which proves nothing
		}
		rest.ScaleVec(nearZero, rest)
		if s.isUnseen(rest.RawVector().Data) {
			break
		}
	}
	return rest.RawVector().Data
}

// unit is what no relation sees of a change of one amount, at the truth.
func (m *moves) unit(i int) []float64 {
	if m.units[i] == nil {
		s := m.spaceOf(i)
		change := make([]float64, len(s.amounts))
		change[s.at[i]] = s.x[s.at[i]]
		m.units[i] = s.unseen(change)
	}
	return m.units[i]
}

// reaches tells whether there are amounts of which the weighted sum is wanted or more, with sign -1 or less.
func (m *moves) reaches(weights map[int]float64, sign, wanted float64) bool {
	sum, changes := 0.0, map[*space][]float64{}
	for _, i := range keysOf(weights) {
		if sum += weights[i] * m.truth[i]; !m.free[i] {
			sum += sign * m.loose(i, sign*weights[i])
			continue
		}
		s := m.spaceOf(i)
		if changes[s] == nil {
			changes[s] = make([]float64, len(s.amounts))
		}
		for k, x := range m.unit(i) {
			changes[s][k] += sign * weights[i] * x
		}
	}
	for _, i := range keysOf(weights) { // blocks in their order
		if !m.free[i] {
			continue
		}
		s := m.spaceOf(i)
		if change := changes[s]; change != nil {
			delete(changes, s)
			sum += s.climb(weights, change, sign, sign*(wanted-sum))
		}
		if sign*(sum-wanted) >= 0 {
			return true
		}
	}
	return sign*(sum-wanted) >= 0
}

// loose is by how much an amount of which nothing is known can raise a sum.
func (m *moves) loose(i int, weight float64) float64 {
	switch _, isFixed := m.fixed[i]; {
	case isFixed || m.truth[i] == 0 || weight == 0:
		return 0
	case weight > 0:
		return math.Inf(1)
	default:
		return -weight * m.truth[i] // down to 0
	}
}

// climb is by how much the weighted sum of a block's amounts can rise (sign -1: fall), as far as wanted, in steps from the truth.
func (s *space) climb(weights map[int]float64, change []float64, sign, wanted float64) (risen float64) {
	x, there := s.x, s
	for range 40 {
		next, isAllowed := s.step(x, change)
		if !isAllowed { // a sum of changes may hold more that is seen than any of them
			if next, isAllowed = s.step(x, there.unseen(change)); !isAllowed {
				return risen
			}
		}
		last, sum := risen, 0.0
		for _, i := range keysOf(weights) {
			if k, found := s.at[i]; found {
				sum += weights[i] * (next[k] - s.x[k])
			}
		}
		if risen = sign * max(sign*sum, sign*last); sign*risen >= wanted || sign*(risen-last) < 1e-3*wanted {
			return risen
		}
		x = next
		there = s.from(x)
		change = make([]float64, len(x))
		for i, w := range weights {
			if k, found := s.at[i]; found {
				change[k] = sign * w * x[k]
			}
		}
		change = there.unseen(change)
	}
	return risen
}

// step goes most of the way to where the first amount is 0, and holds what it finds to every relation.
func (s *space) step(x, change []float64) (next []float64, isAllowed bool) {
	fall := 0.0
	for _, c := range change {
		fall = max(fall, -c)
	}
	if fall == 0 {
		return nil, false
	}
	next = make([]float64, len(x))
	for k := range x {
		next[k] = x[k] * (1 + 0.95*change[k]/fall)
	}
	for r, law := range s.laws {
		off, most := 0.0, 0.0
		for _, k := range s.columns[r] {
			c := law.of[s.amounts[k]]
			off += c * (next[k] - s.x[k])
			most = max(most, math.Abs(c*s.x[k]))
		}
		if math.Abs(off) > leastSeen*most {
			return nil, false
		}
	}
	return next, true
}
