package pipeline

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// relation is what an attacker knows of unknown amounts, none of which is below 0: the sum of coefficient x amount is equal to is.
type relation struct {
	from string
	of   map[int]float64
	is   float64
}

// attack is all that an attacker knows. Its amounts fall into blocks that no relation joins; each block is a program of its own.
type attack struct {
	relations []relation // none of which follows from those before it
	block     []int      // by amount
	members   map[int][]int
	laws      map[int][]relation // by block
	optima    map[string]float64
	fixed     map[int]float64 // amounts that are known
	shares    int             // of crews: the first amounts, measures of each
}

// newAttack leaves out relations that follow from those before them, short ones first, and refuses those that contradict them.
func newAttack(shares, amounts int, known []relation) (*attack, error) {
	a := &attack{shares: shares, members: map[int][]int{}, laws: map[int][]relation{}, optima: map[string]float64{}}
	pivots := map[int]relation{}
	a.block = make([]int, amounts)
	for i := range a.block {
		a.block[i] = i
	}
	a.fixed, known = fixedBy(known)
	slices.SortStableFunc(known, func(x, y relation) int { return cmp.Compare(len(x.of), len(y.of)) })
	for _, r := range known {
		rest := reduced(r, pivots)
		if len(rest.of) == 0 {
			if math.Abs(rest.is) > 1e-7 { // more than elimination loses, which drops coefficients below that
				return nil, fmt.Errorf("%s contradicts what is known: %g is left of %g", r.from, rest.is, r.is)
			}
			continue
		}
		pivot := slices.MaxFunc(keysOf(rest.of), func(x, y int) int {
			return cmp.Or(cmp.Compare(math.Abs(rest.of[x]), math.Abs(rest.of[y])), cmp.Compare(y, x))
		})
		pivots[pivot] = rest
		if len(rest.of) < len(r.of) {
			r = rest
		}
		a.relations = append(a.relations, r)
		a.join(keysOf(r.of))
	}
	for i := range a.block {
		b := a.find(i)
		a.members[b] = append(a.members[b], i)
	}
	for _, r := range a.relations {
		b := a.find(keysOf(r.of)[0])
		a.laws[b] = append(a.laws[b], r)
	}
	return a, nil
}

// fixedBy gives the amounts that relations tell one by one, and the relations between the others.
func fixedBy(known []relation) (fixed map[int]float64, others []relation) {
	fixed = map[int]float64{}
	for hasMore := true; hasMore; known = others {
		hasMore, others = false, nil
		for _, r := range known {
			rest := relation{from: r.from, of: map[int]float64{}, is: r.is}
			for i, c := range r.of {
				if x, found := fixed[i]; found {
					rest.is -= c * x
				} else {
					rest.of[i] = c
				}
			}
			switch keys := keysOf(rest.of); len(keys) {
			case 0: // the truth fulfils every relation, so this one says the same again
			case 1:
				fixed[keys[0]] = max(0, rest.is/rest.of[keys[0]])
				hasMore = true
			default:
				others = append(others, rest)
			}
		}
	}
	return fixed, others
}

func keysOf[V any](of map[int]V) []int {
	var keys []int
	for k := range of {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// reduced subtracts earlier relations from one, whose largest coefficient is made 1, until none of their pivots is left in it.
func reduced(r relation, pivots map[int]relation) relation {
	scale := 0.0
	for _, c := range r.of {
		scale = max(scale, math.Abs(c))
	}
	out := relation{from: r.from, of: map[int]float64{}, is: r.is / scale}
	most := math.Abs(out.is)
	for k, c := range r.of {
		out.of[k] = c / scale
	}
	for {
		at := slices.IndexFunc(keysOf(out.of), func(k int) bool { _, found := pivots[k]; return found })
		if at < 0 {
			break
		}
		k := keysOf(out.of)[at]
		p := pivots[k]
		f := out.of[k] / p.of[k]
		for j, c := range p.of {
			if out.of[j] -= f * c; math.Abs(out.of[j]) < 1e-7 {
				delete(out.of, j)
			}
		}
		delete(out.of, k)
		out.is -= f * p.is
		most = max(most, math.Abs(f*p.is))
	}
	if len(out.of) == 0 && most > 0 {
		out.is /= most
	}
	return out
}

func (a *attack) find(i int) int {
	for a.block[i] != i {
		a.block[i] = a.block[a.block[i]]
		i = a.block[i]
	}
	return i
}

func (a *attack) join(amounts []int) {
	for _, i := range amounts[1:] {
		a.block[a.find(i)] = a.find(amounts[0])
	}
}

// bound is the most, or with sign -1 the least, that a sum of weight x amount can be. Blocks are independent, so their bounds add up.
func (a *attack) bound(weights map[int]float64, sign float64) (float64, error) {
	sum, byBlock := 0.0, map[int][]int{}
	for _, i := range keysOf(weights) {
		if x, found := a.fixed[i]; found {
			sum += weights[i] * x
			continue
		}
		byBlock[a.find(i)] = append(byBlock[a.find(i)], i)
	}
	for b, wanted := range byBlock {
		c := make([]float64, len(a.members[b]))
		for _, i := range wanted {
			c[slices.Index(a.members[b], i)] = weights[i] * a.size(i)
		}
		key := fmt.Sprint(sign, b, c)
		best, found := a.optima[key]
		if !found {
			var err error
			if best, err = a.best(b, c, sign); err != nil {
				return 0, fmt.Errorf("the bound of %v in %v: %w", wanted, a.laws[b], err)
			}
			a.optima[key] = best
		}
		sum += best
	}
	return sum, nil
}

// size is about how large an amount is, so that the programs are in numbers of like size: a thousand pounds, ten lane-miles.
func (a *attack) size(i int) float64 {
	if i < measures*a.shares && i%measures != pounds {
		return 10
	}
	return 1000
}

// best is the most (sign 1) or least (-1) of weights x amounts in a block, the amounts counted by their size.
func (a *attack) best(b int, weights []float64, sign float64) (float64, error) {
	laws := a.laws[b]
	if len(laws) == 0 { // one amount of which nothing is known
		if sign*weights[0] > 0 {
			return sign * math.Inf(1), nil
		}
		return 0, nil
	}
	system, is, c := mat.NewDense(len(laws), len(weights), nil), make([]float64, len(laws)), make([]float64, len(weights))
	for r, law := range laws {
		most := 0.0
		for i, x := range law.of {
			most = max(most, math.Abs(x*a.size(i)))
		}
		for i, x := range law.of {
			system.Set(r, slices.Index(a.members[b], i), x*a.size(i)/most)
		}
		is[r] = law.is / most
	}
	for i, x := range weights {
		c[i] = -sign * x
	}
	found, _, err := lp.Simplex(c, system, is, 1e-10, nil)
	if errors.Is(err, lp.ErrUnbounded) {
		return sign * math.Inf(1), nil
	}
	return -sign * found, err
}
