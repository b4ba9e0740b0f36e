package stats

import (
	"cmp"
	"math"
	"slices"
)

// normalMAD makes the median absolute deviation of normal data estimate their standard deviation: 1 / (normal quantile 0.75),
// to the four places that are customary.
const normalMAD = 1.4826

// Quantile is the quantile at p, 0 to 1, linear between order statistics (type 7 of Hyndman and Fan 1996, American
// Statistician 50). At least one value.
func Quantile(values []float64, p float64) (float64, error) {
	if len(values) == 0 {
		return 0, &TooFew{Have: 0, Need: 1, What: "values"}
	}
	if !isFinite(values...) || !(p >= 0 && p <= 1) {
		return 0, unusable("quantile %g of values that are missing or infinite, or outside 0 to 1", p)
	}
	sorted := slices.Sorted(slices.Values(values))
	at := p * float64(len(sorted)-1)
	below := min(int(math.Floor(at)), len(sorted)-1)
	above := min(below+1, len(sorted)-1)
	share := at - float64(below)
	return sorted[below]*(1-share) + sorted[above]*share, nil
}

// Median is the quantile at one half.
func Median(values []float64) (float64, error) { return Quantile(values, 0.5) }

// RobustDeviations is each value's distance from the median in units of 1.4826 x the median absolute deviation (Hampel 1974,
// Journal of the American Statistical Association 69), in order. At least 3 values; an error where more than half are equal,
// since then there is no scale to judge by.
func RobustDeviations(values []float64) ([]float64, error) {
	if len(values) < 3 {
		return nil, &TooFew{Have: len(values), Need: 3, What: "values"}
	}
	middle, err := Median(values)
	if err != nil {
		return nil, err
	}
	deviations := make([]float64, len(values))
	for i, value := range values {
		deviations[i] = math.Abs(value - middle)
	}
	scale, err := Median(deviations)
	if err != nil {
		return nil, err
	}
	for i, value := range values {
		deviations[i] = (value - middle) / (normalMAD * scale)
	}
	if scale == 0 || !isFinite(deviations...) {
		return nil, unusable("over half of the values are equal; there is no spread to judge by")
	}
	return deviations, nil
}

// sortByValue sorts indexes by the value they point at, ties by index.
func sortByValue(indexes []int, values []float64) {
	slices.SortFunc(indexes, func(a, b int) int {
		return cmp.Or(cmp.Compare(values[a], values[b]), cmp.Compare(a, b))
	})
}
