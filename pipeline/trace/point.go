package trace

import (
	"cmp"
	"math"
	"slices"
)

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
	return p.AtMS == q.AtMS && p.Lon == q.Lon && p.Lat == q.Lat && number(p.SpeedMPH, q.SpeedMPH) && number(p.RateLbPerLaneMi, q.RateLbPerLaneMi) &&
		number(p.TotalLb, q.TotalLb) && number(p.Lanes, q.Lanes) && p.Material == q.Material && p.Crew == q.Crew && p.Spreading == q.Spreading && p.PlowDown == q.PlowDown
}

// Order sorts one truck's points, given in order of delivery, by time. Of several with one time the last stands: one equal to the one in
// force before it is a duplicate, a different one a correction. The slice is reused.
func Order(points []Point) (kept []Point, duplicates, corrections int) {
	byTime := func(a, b Point) int { return cmp.Compare(a.AtMS, b.AtMS) }
	if !slices.IsSortedFunc(points, byTime) {
		slices.SortStableFunc(points, byTime)
	}
	kept = points[:0]
	for i := range points {
		last := len(kept) - 1
		switch {
		case last < 0 || kept[last].AtMS != points[i].AtMS:
			kept = append(kept, points[i])
		case kept[last].Same(&points[i]):
			duplicates++
		default:
			kept[last] = points[i]
			corrections++
		}
	}
	return kept, duplicates, corrections
}
