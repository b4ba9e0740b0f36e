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

// EquivalencePower is the probability that two one-sided tests at 5 % (Schuirmann 1987, Journal of Pharmacokinetics and Biopharmaceutics
// 15) show a true difference of 0 to lie within +-margin, of an estimate whose standard error se (> 0) is itself estimated with df degrees
// of freedom: the mean of 2 Phi((margin - t s)/se) - 1, where positive, over the chi distribution of s/se, by the midpoint rule. 0 below
// 1 degree of freedom.
func EquivalencePower(margin, se, df float64) float64 {
	t, err := TQuantile(0.95, df)
	if err != nil || df < 1 {
		return 0
	}
	const steps = 200
	spread := 8 / math.Sqrt(2*df)
	from, to := math.Max(0, 1-spread), math.Min(1+spread, margin/(t*se))
	if !(to > from) {
		return 0
	}
	gamma, _ := math.Lgamma(df / 2)
	power, step := 0.0, (to-from)/steps
	for i := range steps {
		s := from + (float64(i)+0.5)*step
		density := 2 * math.Exp(df/2*math.Log(df/2)-gamma+(df-1)*math.Log(s)-df*s*s/2)
		power += density * math.Erf((margin/se-t*s)/math.Sqrt2) * step
	}
	return power
}
