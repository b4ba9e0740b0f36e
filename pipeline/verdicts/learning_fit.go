package verdicts

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/mixedmodel"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// intervalLevel is the coverage of every interval of the learning fits. Source: definitions, learning.
const intervalLevel = 0.90

// States of a fit.
const (
	fitFitted   = "fitted"
	fitNoAnswer = "no answer" // enough rows, but they cannot answer: Reason says why
)

// LearningFit is a fitted design, or why there is no fit. Result is nil unless State is fitted.
type LearningFit struct {
	State    string
	Reason   string // empty when fitted
	Given    int    // rows given
	Choice   rowChoice
	Storms   int      // storms among the rows used
	Columns  []string // names of the fixed columns, in the order of Result.Fixed
	Constant []string // left out because they do not vary
	Dropped  []string // covariates and components left out because they cannot be told from others
	Labels   map[string][]string
	Result   *mixedmodel.Result
}

// FitLearning fits a design by REML: ln or other response = columns + covariates + random intercepts + crew slopes + residual.
// What cannot be estimated is left out and named, as definitions say; what is left is always finite.
func FitLearning(d *learningDesign) *LearningFit {
	f := &LearningFit{Given: len(d.Response), Choice: d.choose()}
	factors, labels := d.usedFactors(f.Choice.Rows)
	f.Labels, f.Storms = labels, len(labels[StormFactor])
	if len(f.Choice.Rows) < d.MinRows || f.Storms < d.MinStorms {
		f.State = rows.TooEarly
		f.Reason = fmt.Sprintf("%d rows and %d storms; at least %d rows and %d storms needed", len(f.Choice.Rows), f.Storms, d.MinRows,
			d.MinStorms)
		return f
	}
	columns, constant, fault := d.fixedColumns(f.Choice)
	if fault != "" {
		f.State, f.Reason = rows.TooEarly, fault+" does not vary yet"
		return f
	}
	f.Constant = constant
	slopes := slices.DeleteFunc(slices.Clone(d.Slopes), func(s designSlope) bool {
		return s.Factor == CrewFactor && len(labels[CrewFactor]) < 3
	})
	f.fit(pick(d.Response, f.Choice.Rows), columns, factors, slopes)
	return f
}

// fit fits, and fits again without the optional column or the component that the model cannot tell from others.
func (f *LearningFit) fit(response []float64, columns []designColumn, factors []mixedmodel.Factor, slopes []designSlope) {
	for {
		m := newLearningModel(response, columns, factors, slopes)
		result, err := mixedmodel.Fit(m)
		if err == nil {
			f.State, f.Result, f.Columns = fitFitted, result, m.XNames
			return
		}
		var fault *mixedmodel.Fault
		if !errors.As(err, &fault) || !canDrop(fault, columns) {
			f.State, f.Reason = fitNoAnswer, err.Error()
			if fault != nil && fault.Kind == mixedmodel.FewRows {
				f.State = rows.TooEarly
			}
			return
		}
		f.Dropped = append(f.Dropped, fault.Name)
		slopes = slices.DeleteFunc(slopes, func(s designSlope) bool { return s.Name == fault.Name })
		columns = slices.DeleteFunc(columns, func(c designColumn) bool { return c.Name == fault.Name })
		factors = slices.DeleteFunc(factors, func(one mixedmodel.Factor) bool { return one.Name == fault.Name })
	}
}

// canDrop tells whether the model may be fitted without what the fault names.
func canDrop(fault *mixedmodel.Fault, columns []designColumn) bool {
	switch fault.Kind {
	case mixedmodel.Confounded, mixedmodel.OneLevel, mixedmodel.ConstantSlope:
		return fault.Name != ""
	case mixedmodel.SingularFixed:
		return slices.ContainsFunc(columns, func(c designColumn) bool { return c.Name == fault.Name && c.IsOptional })
	}
	return false
}

func newLearningModel(response []float64, columns []designColumn, factors []mixedmodel.Factor, slopes []designSlope) mixedmodel.Model {
	m := mixedmodel.Model{Y: response, Factors: factors}
	for _, column := range columns {
		m.X, m.XNames = append(m.X, column.Values), append(m.XNames, column.Name)
	}
	for _, slope := range slopes {
		factor := slices.IndexFunc(factors, func(one mixedmodel.Factor) bool { return one.Name == slope.Factor })
		if column := slices.Index(m.XNames, slope.Column); column >= 0 && factor >= 0 {
			m.Slopes = append(m.Slopes, mixedmodel.Slope{Name: slope.Name, Factor: factor, Covariate: m.X[column]})
		}
	}
	return m
}

// IsFitted tells whether there are estimates.
func (f *LearningFit) IsFitted() bool { return f.State == fitFitted }

// has tells whether the fit has the fixed column.
func (f *LearningFit) has(column string) bool { return slices.Contains(f.Columns, column) }

// component gives the place of a component of random effects in the result, or -1.
func (f *LearningFit) component(name string) int {
	return slices.IndexFunc(f.Result.Components, func(c mixedmodel.Component) bool { return c.Name == name })
}

// Sd gives the standard deviation of a component of random effects; nil where it is not in the model.
func (f *LearningFit) Sd(name string) *float64 {
	if k := f.component(name); k >= 0 {
		return ledger.Finite(f.Result.Components[k].SD)
	}
	return nil
}

// Combination weighs fixed columns by name; a column that the fit lacks counts as 0.
func (f *LearningFit) Combination(weights map[string]float64) mixedmodel.Combination {
	c := mixedmodel.Combination{Fixed: make([]float64, len(f.Columns))}
	for j, name := range f.Columns {
		c.Fixed[j] = weights[name]
	}
	return c
}

// LearningEstimate is an estimate on the scale of the logarithm, with the degrees of freedom of its t interval.
type LearningEstimate struct {
	stats.Estimate
	SE float64
	DF float64
}

// Estimate gives a combination, shift added, with its t interval on its variance and more, Satterthwaite's degrees of freedom; nil
// where it has no variance to judge by or the interval overflows.
func (f *LearningFit) Estimate(c mixedmodel.Combination, shift, more float64) *LearningEstimate {
	predicted, err := f.Result.Predict(c)
	if err != nil {
		return nil
	}
	se := math.Sqrt(predicted.SE*predicted.SE + more)
	interval, err := stats.TInterval(predicted.Value+shift, se, predicted.DF, intervalLevel)
	if err != nil {
		return nil
	}
	interval.N = f.Storms
	interval.Warnings = append(interval.Warnings, f.warnings()...)
	return &LearningEstimate{Estimate: interval, SE: se, DF: predicted.DF}
}

// of gives the combination of fixed columns by name.
func (f *LearningFit) of(weights map[string]float64) *LearningEstimate {
	return f.Estimate(f.Combination(weights), 0, 0)
}

// warnings are the caveats of the fit that travel with each of its estimates.
func (f *LearningFit) warnings() []string {
	var warnings []string
	for _, name := range f.Choice.NotAdjusted {
		warnings = append(warnings, "not adjusted for "+name)
	}
	for _, name := range f.Dropped {
		warnings = append(warnings, "cannot be told from others: "+name)
	}
	if f.Result != nil {
		warnings = append(warnings, f.Result.Warnings...)
	}
	return warnings
}

// PercentChange is 100 (exp(logarithm) - 1).
func PercentChange(logarithm float64) float64 { return 100 * math.Expm1(logarithm) }
