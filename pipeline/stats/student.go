package stats

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// TQuantile is the value that Student's t with df degrees of freedom (> 0, need not be whole) stays below with probability p
// (strictly between 0 and 1). The quantile of the library is polished by Newton steps on its distribution function.
func TQuantile(p, df float64) (float64, error) {
	if !(p > 0 && p < 1) || !(df > 0) || math.IsInf(df, 0) {
		return 0, unusable("t quantile at probability %g with %g degrees of freedom", p, df)
	}
	if p == 0.5 {
		return 0, nil
	}
	if p > 0.5 {
		value, err := TQuantile(1-p, df)
		return -value, err
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}
	value := t.Quantile(p)
	for range 3 {
		step := (t.CDF(value) - p) / t.Prob(value)
		if !isFinite(step) || math.Abs(step) > 0.1*math.Abs(value) {
			break
		}
		value -= step
	}
	if !isFinite(value) {
		return 0, unusable("t quantile at probability %g with %g degrees of freedom", p, df)
	}
	return value, nil
}

// TTwoSided is the probability that Student's t with df degrees of freedom lies as far from 0 as t, on either side.
func TTwoSided(t, df float64) (float64, error) {
	if !isFinite(t, df) || !(df > 0) {
		return 0, unusable("t %g with %g degrees of freedom", t, df)
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.CDF(-math.Abs(t)), nil
}

// TInterval is value +- t(df) x se at the level. se >= 0; df > 0. N is left 0 for the caller to fill.
func TInterval(value, se, df, level float64) (Estimate, error) {
	if err := checkLevel(level); err != nil {
		return Estimate{}, err
	}
	if !isFinite(value, se) || se < 0 {
		return Estimate{}, unusable("estimate %g with standard error %g", value, se)
	}
	t, err := TQuantile(1-(1-level)/2, df)
	if err != nil {
		return Estimate{}, err
	}
	return checked(Estimate{Value: value, Low: value - t*se, High: value + t*se, Level: level})
}

// Mean is the mean of at least 2 values with its t interval, n - 1 degrees of freedom (Student 1908). For paired data give the
// differences.
func Mean(values []float64, level float64) (Estimate, error) {
	if err := checkValues(values, 2, level); err != nil {
		return Estimate{}, err
	}
	n := len(values)
	mean, sd := stat.MeanStdDev(values, nil)
	result, err := TInterval(mean, sd/math.Sqrt(float64(n)), float64(n-1), level)
	if err != nil {
		return Estimate{}, err
	}
	result.N = n
	if sd == 0 {
		result.Warnings = append(result.Warnings, "all values are equal; the interval has no width")
	}
	return result, nil
}

// GeometricMean is the geometric mean of at least 2 positive values with a t interval from the log scale.
func GeometricMean(values []float64, level float64) (Estimate, error) {
	logs, err := logarithms(values)
	if err != nil {
		return Estimate{}, err
	}
	result, err := Mean(logs, level)
	if err != nil {
		return Estimate{}, err
	}
	return exponential(result)
}

func logarithms(values []float64) ([]float64, error) {
	logs := make([]float64, len(values))
	for i, value := range values {
		if !isFinite(value) || value <= 0 {
			return nil, unusable("value %d is %g; a ratio needs positive values", i, value)
		}
		logs[i] = math.Log(value)
	}
	return logs, nil
}

// TBelow is the probability that Student's t with df > 0 degrees of freedom lies below t.
func TBelow(t, df float64) (float64, error) {
	two, err := TTwoSided(t, df)
	if t > 0 {
		return 1 - two/2, err
	}
	return two / 2, err
}
