package mixedmodel

import "math"

// Model is what Fit takes. It is only read.
type Model struct {
	Y       []float64   // response, n values
	X       [][]float64 // fixed covariates as p columns of n values; put a column of ones in for an intercept
	XNames  []string    // p names
	Factors []Factor    // grouping factors, each with a random intercept; may be empty
	Slopes  []Slope     // independent random slopes, each per level of one factor; may be empty
}

// Factor is a grouping factor. Levels holds the level of each of the n rows, 0 to L-1, and every level has a row.
type Factor struct {
	Name   string
	Levels []int
}

// Slope is a random slope of Covariate (n values) per level of Factors[Factor], uncorrelated with that factor's intercept.
// Name is the slope's name in the result. The covariate is usually one of X as well; that is not required. It may be 0 in every row of
// a level: of a covariate that marks a class, the slope is what each level does with that class alone.
type Slope struct {
	Name      string
	Factor    int
	Covariate []float64
}

// block is one component of random effects: row i has the single value values[i] in column levels[i].
type block struct {
	name    string
	factor  int
	isSlope bool
	levels  []int
	values  []float64 // covariate / scale for a slope, all ones for an intercept
	scale   float64   // root mean square of the covariate; 1 for an intercept
	size    int       // number of levels
}

// IsConstant tells whether all values are equal up to rounding (1e-12 of the largest). Ask it before centring a covariate:
// after centring a constant is rounding noise, which has no scale to be judged by.
func IsConstant(values []float64) bool {
	if len(values) == 0 {
		return true
	}
	low, high := values[0], values[0]
	for _, value := range values {
		low, high = math.Min(low, value), math.Max(high, value)
	}
	return high-low <= 1e-12*math.Max(math.Abs(low), math.Abs(high))
}

// blocks checks the model's shapes and numbers and returns its components: the factors, then the slopes, in their order.
func (m *Model) blocks() ([]block, error) {
	if err := m.checkShape(); err != nil {
		return nil, err
	}
	var blocks []block
	for f, factor := range m.Factors {
		size, err := countLevels(factor)
		if err != nil {
			return nil, err
		}
		ones := make([]float64, len(m.Y))
		for i := range ones {
			ones[i] = 1
		}
		blocks = append(blocks, block{name: factor.Name, factor: f, levels: factor.Levels, values: ones, scale: 1, size: size})
	}
	for _, slope := range m.Slopes {
		one, err := slopeBlock(slope, blocks)
		if err != nil {
			return nil, err
		}
		blocks = append(blocks, one)
	}
	return blocks, nil
}

func (m *Model) checkShape() error {
	n := len(m.Y)
	if len(m.XNames) != len(m.X) {
		return fault(Shape, "", "%d names for %d fixed covariates", len(m.XNames), len(m.X))
	}
	if err := checkColumn("response", m.Y, n); err != nil {
		return err
	}
	for j, column := range m.X {
		if err := checkColumn(m.XNames[j], column, n); err != nil {
			return err
		}
	}
	for _, slope := range m.Slopes {
		if slope.Factor < 0 || slope.Factor >= len(m.Factors) {
			return fault(Shape, slope.Name, "factor %d of %d", slope.Factor, len(m.Factors))
		}
		if err := checkColumn(slope.Name, slope.Covariate, n); err != nil {
			return err
		}
	}
	for _, factor := range m.Factors {
		if len(factor.Levels) != n {
			return fault(Shape, factor.Name, "%d levels for %d rows", len(factor.Levels), n)
		}
	}
	if need := len(m.X) + len(m.Factors) + len(m.Slopes) + 1; n < need {
		return fault(FewRows, "", "%d rows; at least %d needed", n, need)
	}
	return nil
}

func checkColumn(name string, values []float64, n int) error {
	if len(values) != n {
		return fault(Shape, name, "%d values for %d rows", len(values), n)
	}
	for i, value := range values {
		if math.IsNaN(value) || math.IsInf(value, 0) {
			return fault(NotFinite, name, "row %d", i)
		}
	}
	return nil
}

func countLevels(factor Factor) (int, error) {
	seen := make([]bool, len(factor.Levels))
	size := 0
	for i, level := range factor.Levels {
		if level < 0 || level >= len(seen) {
			return 0, fault(Shape, factor.Name, "level %d in row %d; levels run from 0 and each has a row", level, i)
		}
		seen[level] = true
		size = max(size, level+1)
	}
	for level := range size {
		if !seen[level] {
			return 0, fault(Shape, factor.Name, "level %d has no row", level)
		}
	}
	if size < 2 {
		return 0, fault(OneLevel, factor.Name, "a variance between levels needs at least 2")
	}
	return size, nil
}

func slopeBlock(slope Slope, blocks []block) (block, error) {
	if IsConstant(slope.Covariate) {
		return block{}, fault(ConstantSlope, slope.Name, "the covariate does not vary")
	}
	scale := norm(slope.Covariate) / math.Sqrt(float64(len(slope.Covariate)))
	values := make([]float64, len(slope.Covariate))
	for i, value := range slope.Covariate {
		values[i] = value / scale
	}
	owner := blocks[slope.Factor]
	return block{name: slope.Name, factor: slope.Factor, isSlope: true, levels: owner.levels, values: values,
		scale: scale, size: owner.size}, nil
}
