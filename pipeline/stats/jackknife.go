package stats

import "math"

// Share is a sum that is divided by another: Over[i] / Under[i] belongs to storm (or other unit) i.
type Share struct{ Over, Under []float64 }

// JackknifeShareRatio is (sum(a.Over) / sum(a.Under)) / (sum(b.Over) / sum(b.Under)), such as pounds over lane-miles of two classes
// of routes, with the interval of the leave-one-out jackknife of its logarithm: one storm's four numbers are left out together, and
// se^2 = (n-1)/n x the sum of squares of the n left-out logarithms about their mean (Tukey 1958; Efron and Tibshirani 1993,
// chapter 11), t with n - 1 degrees of freedom, centred on the plain ratio.
//
// Values are >= 0 and may be 0, as long as all four sums stay positive whichever storm is left out. At least 2 storms. The interval
// is approximate, and the estimate says so.
func JackknifeShareRatio(a, b Share, level float64) (Estimate, error) {
	for _, pair := range [][2][]float64{{a.Over, a.Under}, {b.Over, b.Under}, {a.Over, b.Over}} {
		if err := checkPairs(pair[0], pair[1], level); err != nil {
			return Estimate{}, err
		}
	}
	return jackknife(len(a.Over), level, func(skip int) (float64, error) {
		over, err := logRatio(sumWithout(a.Over, skip), sumWithout(a.Under, skip))
		if err != nil {
			return 0, err
		}
		under, err := logRatio(sumWithout(b.Over, skip), sumWithout(b.Under, skip))
		return over - under, err
	})
}

// jackknife is exp of logOf's value with nothing left out (-1), with the interval of the n values with one left out.
func jackknife(n int, level float64, logOf func(skip int) (float64, error)) (Estimate, error) {
	whole, err := logOf(-1)
	if err != nil {
		return Estimate{}, err
	}
	logs := make([]float64, n)
	for i := range logs {
		if logs[i], err = logOf(i); err != nil {
			return Estimate{}, unusable("without value %d nothing is left to compare: %v", i, err)
		}
	}
	result, err := TInterval(whole, JackknifeSE(logs), float64(n-1), level)
	if err != nil {
		return Estimate{}, err
	}
	result.N = n
	result.Warnings = append(result.Warnings, "approximate interval (jackknife)")
	return exponential(result)
}

// JackknifeSE is the standard error from the values of a statistic with each unit left out in turn: se^2 = (n-1)/n x the sum of
// squares about their mean; 0 with no value.
func JackknifeSE(leftOut []float64) float64 {
	n := float64(len(leftOut))
	if n == 0 {
		return 0
	}
	mean, squares := sum(leftOut)/n, 0.0
	for _, value := range leftOut {
		squares += (value - mean) * (value - mean)
	}
	return math.Sqrt((n - 1) / n * squares)
}

// sumWithout adds anew, not by subtracting: the rest of a sum that one value dominates would be rounding noise.
func sumWithout(values []float64, skip int) float64 {
	if skip < 0 {
		return sum(values)
	}
	return sum(values[:skip]) + sum(values[skip+1:])
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
