package mixedmodel

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Combination is a linear combination of fixed coefficients and random effects, such as b0 + crew_i.
type Combination struct {
	Fixed  []float64 // one weight per fixed covariate; nil for zeros
	Random []Term
}

// Term is Weight times the effect of Level in Components[Component].
type Term struct {
	Component int
	Level     int
	Weight    float64
}

// Estimate is what Predict returns for one combination.
type Estimate struct {
	Value float64
	SE    float64 // root of the prediction error variance
	DF    float64 // Satterthwaite's degrees of freedom of that variance
}

// Combine returns the estimates of the combinations and the joint covariance matrix of their errors, that is of
// (estimate - truth), for b's error and u's together: sigma^2 L C L' with C the inverse of the mixed-model equations
// (Henderson 1975). For combinations without random terms it is their sampling covariance.
func (r *Result) Combine(combinations ...Combination) (values []float64, covariance *mat.SymDense, err error) {
	if len(combinations) == 0 {
		return nil, nil, fault(Shape, "", "no combination")
	}
	for _, one := range combinations {
		if err := r.checkCombination(one); err != nil {
			return nil, nil, err
		}
		values = append(values, r.value(one))
	}
	covariance = r.covariance(combinations)
	numbers := append(append([]float64(nil), values...), covariance.RawSymmetric().Data...)
	if err := checkColumn("combination", numbers, len(numbers)); err != nil {
		return nil, nil, err
	}
	return values, covariance, nil
}

// Predict returns a combination's estimate, standard error and degrees of freedom. NoVariance where its variance is 0.
func (r *Result) Predict(one Combination) (Estimate, error) {
	values, covariance, err := r.Combine(one)
	if err != nil {
		return Estimate{}, err
	}
	df, err := r.DF(one)
	if err != nil {
		return Estimate{}, err
	}
	return Estimate{Value: values[0], SE: math.Sqrt(covariance.At(0, 0)), DF: df}, nil
}

func (r *Result) checkCombination(one Combination) error {
	if one.Fixed != nil && len(one.Fixed) != len(r.Fixed) {
		return fault(Shape, "", "%d weights for %d fixed covariates", len(one.Fixed), len(r.Fixed))
	}
	if err := checkColumn("weights", one.Fixed, len(one.Fixed)); err != nil {
		return err
	}
	for _, term := range one.Random {
		if term.Component < 0 || term.Component >= len(r.Components) {
			return fault(Shape, "", "component %d of %d", term.Component, len(r.Components))
		}
		if component := r.Components[term.Component]; term.Level < 0 || term.Level >= component.Levels {
			return fault(Shape, component.Name, "level %d of %d", term.Level, component.Levels)
		}
		if err := checkColumn("weights", []float64{term.Weight}, 1); err != nil {
			return err
		}
	}
	return nil
}

func (r *Result) value(one Combination) float64 {
	sum := 0.0
	for j, weight := range one.Fixed {
		sum += weight * r.Fixed[j]
	}
	for _, term := range one.Random {
		sum += term.Weight * r.Effects[term.Component][term.Level]
	}
	return sum
}

// row is the combination as entries in the order of the columns, for spherical effects and the coordinates of q.
func (r *Result) row(one Combination) []entry {
	c := r.system.cross
	var row []entry
	for _, term := range one.Random {
		row = append(row, entry{c.offsets[term.Component] + term.Level, r.Components[term.Component].Theta * term.Weight})
	}
	if one.Fixed != nil {
		for j, value := range c.fixed.rotate(one.Fixed) {
			row = append(row, entry{c.random + j, value})
		}
	}
	return row
}

// spread is C times the combination, all q + p values.
func (r *Result) spread(row []entry) []float64 {
	result := make([]float64, r.inverse.SymmetricDim())
	for i := range result {
		for _, one := range row {
			result[i] += r.inverse.At(i, one.column) * one.value
		}
	}
	return result
}

func (r *Result) covariance(combinations []Combination) *mat.SymDense {
	rows := make([][]entry, len(combinations))
	for a, one := range combinations {
		rows[a] = r.row(one)
	}
	result := mat.NewSymDense(len(rows), nil)
	for a, row := range rows {
		spread := r.spread(row)
		for b := a; b < len(rows); b++ {
			sum := 0.0
			for _, one := range rows[b] {
				sum += spread[one.column] * one.value
			}
			result.SetSym(a, b, sum*r.Sigma*r.Sigma)
		}
	}
	return result
}
