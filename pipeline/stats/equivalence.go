package stats

import "math"

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
