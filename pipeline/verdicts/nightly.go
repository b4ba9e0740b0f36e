package verdicts

import (
	"math"

	"lanetally/pipeline/stats"
)

// wideningOf is how much wider the intervals of an open season are, for pages that are read every night: 1.96 / (1.645 sqrt(t)), t the
// share of the expected storms that have closed, so that a false claim is ever shown in about one season of ten (Lan and DeMets 1983,
// Biometrika 70; the bound of continuous looking). Infinite before the first closed storm.
func wideningOf(closed int, expected float64) float64 {
	share := float64(closed) / math.Max(expected, float64(closed)+5)
	return 1.96 / (1.645 * math.Sqrt(share))
}

// expectedStorms is the median of the storms of past seasons, or the district's guess.
func expectedStorms(past []float64, guess float64) float64 {
	median, err := stats.Median(past)
	if err != nil {
		return guess
	}
	return median
}

// widenedInterval widens both halves of an interval; nil of nil, and where it has no end.
func widenedInterval(e *stats.Estimate, factor float64) *stats.Estimate {
	if e == nil || math.IsInf(factor, 1) {
		return nil
	}
	wide := *e
	wide.Low, wide.High = e.Value-factor*(e.Value-e.Low), e.Value+factor*(e.High-e.Value)
	return &wide
}

// widened is the estimate with its interval widened; standard error and degrees of freedom stay.
func (e *LearningEstimate) widened(factor float64) *LearningEstimate {
	if e == nil {
		return nil
	}
	wide := widenedInterval(&e.Estimate, factor)
	if wide == nil {
		return nil
	}
	return &LearningEstimate{Estimate: *wide, SE: e.SE, DF: e.DF}
}

// widenedRatio widens an interval of a ratio on the scale of its logarithm.
func widenedRatio(e *stats.Estimate, factor float64) *stats.Estimate {
	if e == nil {
		return nil
	}
	wide := widenedInterval(&stats.Estimate{Value: math.Log(e.Value), Low: math.Log(e.Low), High: math.Log(e.High)}, factor)
	if wide == nil || math.IsInf(math.Exp(wide.High), 0) {
		return nil
	}
	return &stats.Estimate{Value: e.Value, Low: math.Exp(wide.Low), High: math.Exp(wide.High)}
}
