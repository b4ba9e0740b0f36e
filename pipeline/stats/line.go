package stats

import "math"

// Line is the least-squares line y = Intercept + Slope x through N points, with ResidualSD on N - 2 degrees of freedom.
type Line struct {
	Intercept   float64
	Slope       float64
	InterceptSE float64
	SlopeSE     float64
	ResidualSD  float64
	N           int

	meanX, squaresX float64
}

// FitLine fits at least 3 points whose x are not all equal. Sums are taken about the means.
func FitLine(x, y []float64) (Line, error) {
	n := len(x)
	if n != len(y) {
		return Line{}, unusable("%d x and %d y", n, len(y))
	}
	if n < 3 {
		return Line{}, &TooFew{Have: n, Need: 3, What: "points"}
	}
	if !isFinite(x...) || !isFinite(y...) {
		return Line{}, unusable("a value is missing or infinite")
	}
	line := Line{N: n, meanX: sum(x) / float64(n)}
	meanY, products, largest := sum(y)/float64(n), 0.0, 0.0
	for i := range x {
		line.squaresX += (x[i] - line.meanX) * (x[i] - line.meanX)
		products += (x[i] - line.meanX) * (y[i] - meanY)
		largest = math.Max(largest, math.Abs(x[i]))
	}
	if line.squaresX <= 1e-24*largest*largest*float64(n) {
		return Line{}, unusable("all x are equal; a line needs different ones")
	}
	line.Slope = products / line.squaresX
	line.Intercept = meanY - line.Slope*line.meanX
	squares := 0.0
	for i := range x {
		rest := (y[i] - meanY) - line.Slope*(x[i]-line.meanX)
		squares += rest * rest
	}
	line.ResidualSD = math.Sqrt(squares / float64(n-2))
	line.SlopeSE = line.ResidualSD / math.Sqrt(line.squaresX)
	line.InterceptSE = line.ResidualSD * math.Sqrt(1/float64(n)+line.meanX*line.meanX/line.squaresX)
	if !isFinite(line.Slope, line.Intercept, line.ResidualSD, line.SlopeSE, line.InterceptSE) {
		return Line{}, unusable("the arithmetic overflowed")
	}
	return line, nil
}

// MeanAt is the line's height at x with the t interval of the mean there.
func (l Line) MeanAt(x, level float64) (Estimate, error) {
	if l.N < 3 {
		return Estimate{}, &TooFew{Have: l.N, Need: 3, What: "points"}
	}
	from := x - l.meanX
	se := l.ResidualSD * math.Sqrt(1/float64(l.N)+from*from/l.squaresX)
	result, err := TInterval(l.Intercept+l.Slope*x, se, float64(l.N-2), level)
	if err != nil {
		return Estimate{}, err
	}
	result.N = l.N
	if l.ResidualSD == 0 {
		result.Warnings = append(result.Warnings, "the points lie on a line; the interval has no width")
	}
	return result, nil
}
