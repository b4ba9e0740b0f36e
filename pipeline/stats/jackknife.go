package stats

import "math"

// JackknifeRatio is sum(numerators) / sum(denominators), one pair per storm (or other unit), with the interval of the
// leave-one-out jackknife of its logarithm: se^2 = (n-1)/n x the sum of squares of the n left-out logarithms about their mean
// (Tukey 1958; Efron and Tibshirani 1993, chapter 11), t with n - 1 degrees of freedom, centred on the plain ratio.
//
// Values are >= 0 and may be 0, as long as both sums stay positive whichever pair is left out. At least 2 pairs. The interval
// is approximate, and the estimate says so.
func JackknifeRatio(numerators, denominators []float64, level float64) (Estimate, error) {
	if err := checkPairs(numerators, denominators, level); err != nil {
		return Estimate{}, err
	}
	n := len(numerators)
	over, under := sum(numerators), sum(denominators)
	whole, err := logRatio(over, under)
	if err != nil {
		return Estimate{}, err
	}
	logs := make([]float64, n)
	for i := range logs {
		// Summed anew, not subtracted: the rest of a sum that one pair dominates would be rounding noise.
		over := sum(numerators[:i]) + sum(numerators[i+1:])
		under := sum(denominators[:i]) + sum(denominators[i+1:])
		if logs[i], err = logRatio(over, under); err != nil {
			return Estimate{}, unusable("without pair %d nothing is left to compare: %v", i, err)
		}
	}
	mean, squares := sum(logs)/float64(n), 0.0
	for _, value := range logs {
		squares += (value - mean) * (value - mean)
	}
	se := math.Sqrt(float64(n-1) / float64(n) * squares)
	result, err := TInterval(whole, se, float64(n-1), level)
	if err != nil {
		return Estimate{}, err
	}
	result.N = n
	result.Warnings = append(result.Warnings, "approximate interval (jackknife)")
	return exponential(result)
}

func checkPairs(numerators, denominators []float64, level float64) error {
	if len(numerators) != len(denominators) {
		return unusable("%d numerators and %d denominators", len(numerators), len(denominators))
	}
	for _, values := range [][]float64{numerators, denominators} {
		if err := checkValues(values, 2, level); err != nil {
			return err
		}
		for i, value := range values {
			if value < 0 {
				return unusable("value %d is %g; at least 0 wanted", i, value)
			}
		}
	}
	return nil
}

func logRatio(over, under float64) (float64, error) {
	if !(over > 0) || !(under > 0) || !isFinite(over, under) {
		return 0, unusable("sums %g and %g; both must be positive", over, under)
	}
	return math.Log(over) - math.Log(under), nil
}

func sum(values []float64) float64 {
	total := 0.0
	for _, value := range values {
		total += value
	}
	return total
}
