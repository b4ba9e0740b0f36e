package trace

import "math"

// Tri is a yes or no that may be missing.
type Tri uint8

// The values of a Tri.
const (
	Unknown Tri = iota
	No
	Yes
)

// TriOf is Yes or No.
func TriOf(isYes bool) Tri {
	if isYes {
		return Yes
	}
	return No
}

// Point is one reported position of a truck. A number that was not reported is NaN, a name that was not is 0.
type Point struct {
	AtMS            int64   // Unix milliseconds
	Lon, Lat        float64 // degrees, WGS 84
	SpeedMPH        float64 // miles per hour
	RateLbPerLaneMi float64 // rate that the controller reported
	TotalLb         float64 // running counter, pounds
	Lanes           float64 // lanes served
	Material, Crew  int32   // numbers that the caller gave the names, from 1
	Spreading       Tri
	PlowDown        Tri
}

// Same: equal in every value; missing equals missing.
func (p *Point) Same(q *Point) bool {
	number := func(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
	return p.AtMS == q.AtMS && p.Lon == q.Lon && p.Lat == q.Lat && p.Material == q.Material && p.Crew == q.Crew &&
		p.Spreading == q.Spreading && p.PlowDown == q.PlowDown && number(p.SpeedMPH, q.SpeedMPH) &&
		number(p.RateLbPerLaneMi, q.RateLbPerLaneMi) && number(p.TotalLb, q.TotalLb) && number(p.Lanes, q.Lanes)
}
