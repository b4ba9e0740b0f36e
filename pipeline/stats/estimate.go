// Package stats holds the smaller statistics of the tally: t intervals, ratios, a jackknife, equivalence, straight lines, Holm's
// adjustment, robust deviations. Slices come in, values go out; nothing here knows a database or a file.
//
// No function returns NaN or an infinity. Where the data cannot answer, the error says what is missing: *TooFew how many values
// are there and how many are needed, *Unusable what else is wrong. Inputs are only read.
package stats

import (
	"fmt"
	"math"
)

// Estimate is a value with its interval. Level is the interval's coverage, such as 0.90; N the number of independent values
// behind it; Warnings are caveats in words that travel with the number to the page.
type Estimate struct {
	Value    float64
	Low      float64
	High     float64
	Level    float64
	N        int
	Warnings []string
}

// TooFew is the error of a question that needs more data.
type TooFew struct {
	Have int
	Need int
	What string // what is counted: "values", "storms", ...
}

// Error says how much is there and how much is needed.
func (e *TooFew) Error() string {
	return fmt.Sprintf("%d %s; at least %d needed", e.Have, e.What, e.Need)
}

// Unusable is the error of data that no amount of the same kind would mend: not finite, not positive, without spread.
type Unusable struct{ Reason string }

// Error is the reason.
func (e *Unusable) Error() string { return e.Reason }

func unusable(format string, arguments ...any) error {
	return &Unusable{Reason: fmt.Sprintf(format, arguments...)}
}

func isFinite(values ...float64) bool {
	for _, value := range values {
		if math.IsNaN(value) || math.IsInf(value, 0) {
			return false
		}
	}
	return true
}

func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return unusable("level %g; between 0 and 1 wanted", level)
	}
	return nil
}

// checkValues asks for at least need finite values and a level between 0 and 1.
func checkValues(values []float64, need int, level float64) error {
	if len(values) < need {
		return &TooFew{Have: len(values), Need: need, What: "values"}
	}
	if !isFinite(values...) {
		return unusable("a value is missing or infinite")
	}
	return checkLevel(level)
}

// checked returns the estimate unless a number in it overflowed.
func checked(e Estimate) (Estimate, error) {
	if !isFinite(e.Value, e.Low, e.High) {
		return Estimate{}, unusable("the arithmetic overflowed")
	}
	return e, nil
}

// exponential takes an estimate from the log scale.
func exponential(e Estimate) (Estimate, error) {
	e.Value, e.Low, e.High = math.Exp(e.Value), math.Exp(e.Low), math.Exp(e.High)
	return checked(e)
}
