package stats

import "math"

// MarginShown is the smallest margin m at which the ratio's interval lies inside [1/(1+m), 1+m]: what these data could show.
func MarginShown(ratio Estimate) (float64, error) {
	if !isFinite(ratio.Low, ratio.High) || ratio.Low <= 0 || ratio.High < ratio.Low {
		return 0, unusable("interval %g to %g; positive ends in order wanted", ratio.Low, ratio.High)
	}
	margin := math.Max(ratio.High, 1/ratio.Low) - 1
	if !isFinite(margin) {
		return 0, unusable("interval %g to %g is too wide", ratio.Low, ratio.High)
	}
	return margin, nil
}

// Holm returns the p values adjusted for their number, in their order (Holm 1979, Scandinavian Journal of Statistics 6). Values
// outside 0 to 1, or missing, are an error.
func Holm(p []float64) ([]float64, error) {
	order := make([]int, len(p))
	for i, value := range p {
		if !(value >= 0 && value <= 1) {
			return nil, unusable("p value %d is %g", i, value)
		}
		order[i] = i
	}
	sortByValue(order, p)
	adjusted := make([]float64, len(p))
	highest := 0.0
	for rank, i := range order {
		highest = math.Max(highest, math.Min(1, float64(len(p)-rank)*p[i]))
		adjusted[i] = highest
	}
	return adjusted, nil
}
