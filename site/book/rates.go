package book

import (
	"cmp"
	"math"

	"lanetally/pipeline/rows"
)

// RatePoint is a fitted rate with the experience it was put down at.
type RatePoint struct {
	CrewID, StormID, RouteID string
	Prior                    int64
	Rate                     float64
	IsOutlier                bool
}

// Residuals are the fit's rows in the order of storms, crews and routes.
func (b *Book) Residuals() []rows.LearningResidual {
	return Sorted(b.Data.LearningResiduals, func(x, y rows.LearningResidual) int {
		return cmp.Or(b.CompareStorms(x.StormID, y.StormID), cmp.Compare(x.CrewID, y.CrewID),
			cmp.Compare(x.RouteID, y.RouteID))
	})
}

// RoutePoints are the routes' rates in the storms of the fit, all crews together, each at the mean of its crews' experience, rounded.
func (b *Book) RoutePoints(prior func(rows.LearningResidual) (int64, bool)) []RatePoint {
	var points []RatePoint
	at, storms, crews := map[stormRoute]int{}, map[stormRoute]int64{}, map[stormRoute]int64{}
	for _, r := range b.Residuals() {
		key := stormRoute{r.StormID, r.RouteID}
		rate := b.StormRoute(rows.CrewStorm{StormID: r.StormID, RouteID: r.RouteID, MaterialClass: b.CompareClass(),
			Form: rows.Solid}).RateLbPerLaneMi
		n, found := prior(r)
		if !found || rate == nil {
			continue
		}
		if crews[key] == 0 {
			at[key] = len(points)
			// orders are placed route by route
			points = append(points, RatePoint{CrewID: r.RouteID, StormID: r.StormID, RouteID: r.RouteID, Rate: *rate})
		}
		storms[key], crews[key] = storms[key]+n, crews[key]+1
		p := &points[at[key]]
		p.Prior, p.IsOutlier = int64(math.Round(float64(storms[key])/float64(crews[key]))), p.IsOutlier || r.IsOutlier
	}
	return points
}

// RatesNotPublic counts the rates of the fit that pages which name crews leave out.
func (b *Book) RatesNotPublic() int {
	if !b.NamesCrews() {
		return 0
	}
	return CountOf(b.Data.LearningResiduals,
		func(r rows.LearningResidual) bool { return !b.IsPublicRate(r.StormID, r.RouteID, r.CrewID) })
}
