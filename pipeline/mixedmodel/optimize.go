package mixedmodel

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// The search. d(theta) depends on theta only through theta^2, so it is even in every coordinate, and a minimum at the boundary
// is an ordinary minimum at theta = 0, without a constraint. Newton's method with exact derivatives, eigenvalues taken by their
// size (so that every step goes down) and halving.
const (
	maxSteps    = 200
	smallEnough = 1e-11 // predicted fall of the criterion at which the search ends
	tolerable   = 1e-7  // predicted fall that may be left where rounding hides it
	snapShare   = 1e-7  // theta^2 x rows per level below which a component is set to exactly 0
	vanished    = 1e-8  // residual variance, as a share of the fixed part's, below which there is none
	gain        = 1e-9  // fall of the criterion that counts
)

// fewRows is the size up to which the criterion is searched from many starts: with a handful of rows it can have several minima.
const fewRows = 100

// starts lists the starting values of theta (for a slope, of its scaled covariate). The best end wins, ties to the first.
func (c *cross) starts() [][]float64 {
	level := func(value float64) []float64 {
		theta := make([]float64, len(c.blocks))
		for k := range theta {
			theta[k] = value
		}
		return theta
	}
	starts := [][]float64{level(1), level(0.17)}
	if c.n > fewRows {
		return starts
	}
	starts = append(starts, level(5))
	for k := range c.blocks {
		alone, without := level(0.2), level(3)
		alone[k], without[k] = 3, 0.2
		starts = append(starts, alone, without)
	}
	return starts
}

// releaseShares are the values of theta^2 x rows per level tried for a component that ended at 0.
var releaseShares = []float64{1e-4, 1e-2, 1}

// search returns the solved system at the minimum of the criterion over theta >= 0. A start that does not settle is passed
// over while another does; one that runs to a vanished residual variance, where the criterion has no bottom, decides.
func (c *cross) search() (*system, error) {
	if len(c.blocks) == 0 {
		return c.at(nil)
	}
	var best *system
	var unsettled *Fault
	for _, theta := range c.starts() {
		end, err := c.descend(theta)
		if errors.As(err, &unsettled) && unsettled.Kind == NotConverged {
			continue
		}
		if err != nil {
			return nil, err
		}
		if best == nil || end.criterion < best.criterion-gain {
			best = end
		}
	}
	if best == nil {
		return nil, unsettled
	}
	return best, nil
}

func (c *cross) at(theta []float64) (*system, error) {
	s, ok := c.solve(theta)
	if !ok {
		return nil, fault(NotConverged, "", "the mixed-model equations cannot be factorised")
	}
	return s, nil
}

// descend goes down from theta, lets go of components that reach 0, and takes one up again where that lowers the criterion.
func (c *cross) descend(theta []float64) (*system, error) {
	s, err := c.at(theta)
	if err != nil {
		return nil, err
	}
	for range 2*len(theta) + 1 {
		if s, err = c.newton(s); err != nil {
			return nil, err
		}
		released, err := c.release(s)
		if err != nil {
			return nil, err
		}
		if released == nil {
			return s, nil
		}
		s = released
	}
	return nil, fault(NotConverged, "", "a component keeps moving on and off 0")
}

// release tries every component at 0 a little above it, and returns the first system that is lower; nil where none is.
func (c *cross) release(s *system) (*system, error) {
	for k, value := range s.theta {
		if value != 0 {
			continue
		}
		for _, share := range releaseShares {
			theta := append([]float64(nil), s.theta...)
			theta[k] = math.Sqrt(share / c.meanSquare(k))
			tried, err := c.at(theta)
			if err != nil {
				return nil, err
			}
			if tried.criterion < s.criterion-gain {
				return tried, nil
			}
		}
	}
	return nil, nil
}

// newton goes down over the components above 0 until the predicted fall is below smallEnough.
func (c *cross) newton(s *system) (*system, error) {
	for range maxSteps {
		next, err := c.snap(s)
		if err != nil {
			return nil, err
		}
		s = next
		active := s.active()
		if len(active) == 0 {
			return s, nil
		}
		if s.squares < vanished*float64(c.n-c.p) {
			return nil, fault(NoResidual, c.blocks[s.largest()].name, "the random effects explain every row; no residual variance is left")
		}
		gradient, hessian := s.profiled(s.moments(s.inverse()), active)
		step, fall, ok := descent(gradient, hessian)
		if !ok {
			return nil, fault(NotConverged, "", "the Hessian cannot be decomposed")
		}
		next = c.walk(s, active, step, fall)
		if next == nil && fall > tolerable {
			return nil, fault(NotConverged, "", "no step goes down although %g is predicted", fall)
		}
		if next == nil {
			return s, nil
		}
		s = next
		if fall < smallEnough {
			return c.snap(s)
		}
	}
	return nil, fault(NotConverged, "", "%d steps", maxSteps)
}

// active lists the components above 0.
func (s *system) active() []int {
	var active []int
	for k, value := range s.theta {
		if value > 0 {
			active = append(active, k)
		}
	}
	return active
}

// largest is the component with the largest theta.
func (s *system) largest() int {
	at := 0
	for k, value := range s.theta {
		if value > s.theta[at] {
			at = k
		}
	}
	return at
}

// snap sets components to exactly 0 that are 0 to the eye.
func (c *cross) snap(s *system) (*system, error) {
	theta := append([]float64(nil), s.theta...)
	changed := false
	for k, value := range theta {
		if value > 0 && value*value*c.meanSquare(k) < snapShare {
			theta[k], changed = 0, true
		}
	}
	if !changed {
		return s, nil
	}
	return c.at(theta)
}

// descent is the Newton step with eigenvalues by size, and the fall of the criterion that it predicts.
func descent(gradient []float64, hessian *mat.SymDense) (step []float64, fall float64, ok bool) {
	var eigen mat.EigenSym
	if !eigen.Factorize(hessian, true) {
		return nil, 0, false
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	largest := math.Max(math.Abs(values[0]), math.Abs(values[len(values)-1]))
	step = make([]float64, len(gradient))
	for e, value := range values {
		slope := 0.0
		for a := range gradient {
			slope += vectors.At(a, e) * gradient[a]
		}
		curve := math.Max(math.Abs(value), 1e-10*largest+1e-300)
		fall += slope * slope / curve / 2
		for a := range step {
			step[a] -= slope / curve * vectors.At(a, e)
		}
	}
	return step, fall, !math.IsNaN(fall) && !math.IsInf(fall, 0)
}

// walk takes the step, at most to thrice theta (or 0.3) and at least to a fiftieth of theta in a coordinate, and halves it
// until the criterion falls by a tenth of what is predicted. nil: it does not, which is the end in double precision.
func (c *cross) walk(s *system, active []int, step []float64, fall float64) *system {
	length := 1.0
	for a, k := range active {
		length = math.Min(length, 2*math.Max(s.theta[k], 0.1)/math.Max(math.Abs(step[a]), 1e-300))
	}
	noise := 1e-14 * math.Abs(s.criterion)
	for range 40 {
		theta := append([]float64(nil), s.theta...)
		for a, k := range active {
			theta[k] = math.Max(theta[k]+length*step[a], theta[k]/50)
		}
		if next, ok := c.solve(theta); ok && next.criterion <= s.criterion-0.1*length*fall+noise {
			return next
		}
		length /= 2
	}
	return nil
}
