package verdicts

import (
	"math"
	"slices"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// planMargin is what is to be told where nothing else is asked.
const planMargin = 0.10

// DefaultPlan is planned with where nothing is known: a small district, and standard deviations of our own judgement, in the middle of
// those that simulations try. Between districts and seasons only a pool of districts can estimate them.
func DefaultPlan() rows.Plan {
	return rows.Plan{Margin: planMargin, AcetateRoutes: 3, ChlorideRoutes: 7, SeasonStorms: 25, Seasons: 1, Districts: 1,
		SDDistrict: 0.05, SDSeason: 0.03, SDRoute: 0.20, SDAcetateRoute: 0.06, SDStormClass: 0.06, SDResidual: 0.20, Assumed: "all"}
}

// planVariance is the variance of the logarithm of the ratio after so many storms with acetate in each district, and its degrees of freedom
// (Satterthwaite 1946, Biometrics Bulletin 2) from the mean squares of routes and storms; the assumed parts count as known. A district
// alone answers for itself: how districts differ enters from two on. A crossover drops the first storm after each switch, for what
// the material before may leave behind (Senn 2002, Cross-over Trials in Clinical Research).
func planVariance(p rows.Plan, storms float64) (variance, df float64) {
	a, c, districts := float64(p.AcetateRoutes), float64(p.ChlorideRoutes), float64(p.Districts)
	seasons := math.Ceil(storms / float64(p.SeasonStorms))
	own, rest, route := p.SDAcetateRoute*p.SDAcetateRoute, p.SDResidual*p.SDResidual, 0.0
	routes, each := 1/a+1/c, 1.0 // variance of a difference of classes in units of a route's; that of a route's change
	per := 1 / storms            // of a route's mean in units of rest
	switch p.Design {
	case rows.NoWinterBefore:
		route = p.SDRoute * p.SDRoute
	case rows.OneWinterBefore:
		per += 1 / float64(p.SeasonStorms)
	case rows.Crossover:
		storms -= seasons
		a, per, routes, each = a+c, 1/storms, 4/(a+c), 4
	}
	class := 2 * p.SDStormClass * p.SDStormClass
	byRoute, beside, byStorm := (own+route+each*rest*per)/a, (route+rest*per)/c, (class+rest*routes)/storms
	noise := byRoute*byRoute/(a-1) + byStorm*byStorm/(storms-1/districts)
	if route > 0 {
		noise += beside * beside / (c - 1)
	}
	variance = own/a + route*routes + class/storms + rest*routes*per + p.SDSeason*p.SDSeason*districts/seasons
	if districts > 1 {
		variance += p.SDDistrict * p.SDDistrict
	}
	return variance / districts, districts * variance * variance / noise
}

// planChance is how probable a design shows a true ratio of 1 to lie within the margin; 0 before the storms that the verdict asks for.
func planChance(p rows.Plan, storms int64) float64 {
	if storms < changedAfter || p.Design == rows.Crossover && storms <= 2*changedAfter {
		return 0
	}
	variance, df := planVariance(p, float64(storms))
	return stats.EquivalencePower(math.Log1p(p.Margin), math.Sqrt(variance), df)
}

// Planned fills in what the plan can tell and what it would take.
func Planned(p rows.Plan) rows.Plan {
	storms, base := p.SeasonStorms*p.Seasons, p
	p.ChanceShare = planChance(base, storms)
	if p.StormsNeeded = leastThat(1, func(n int64) float64 { return planChance(base, n) }); p.StormsNeeded != nil {
		p.SeasonsNeeded = new((*p.StormsNeeded + p.SeasonStorms - 1) / p.SeasonStorms)
	}
	more := base
	p.AcetateRoutesNeeded = leastThat(1, func(n int64) float64 {
		more.AcetateRoutes = n
		more.ChlorideRoutes = max(1, int64(math.Round(float64(n*base.ChlorideRoutes)/float64(base.AcetateRoutes))))
		return planChance(more, storms)
	})
	if p.AcetateRoutesNeeded != nil {
		p.ChlorideRoutesNeeded = new(more.ChlorideRoutes)
	}
	p.DistrictsNeeded = leastThat(2, func(n int64) float64 {
		pool := base
		pool.Districts = n
		return planChance(pool, storms)
	})
	return p
}

// leastThat is the least number from first to rows.PlanLimit with the chance to be reached; nil where none has it.
func leastThat(first int64, chance func(int64) float64) *int64 {
	for n := first; n <= rows.PlanLimit; n++ {
		if chance(n) >= rows.PlanChanceShare {
			return &n
		}
	}
	return nil
}

// plans are the designs of the district, for 10 % and for its own margin, from the season's routes and the fit of pounds; nil where a
// class has no route.
func (f *seasonFits) plans(in *SeasonsInput) []rows.Plan {
	q, base, storms, seasons := f.Fits[rows.QuestionPounds], DefaultPlan(), map[string]bool{}, map[string]bool{}
	routes := [2]map[string]bool{{}, {}}
	for _, row := range q.rows {
		if row.Season == f.Season {
			routes[sideOf(row.IsAcetate)][row.RouteID] = true
		}
		if row.IsAcetate {
			storms[row.StormID], seasons[row.Season] = true, true
		}
	}
	if len(routes[0]) == 0 || len(routes[1]) == 0 {
		return nil
	}
	_, expected := in.stormsIn(f.Season)
	base.SeasonStorms, base.Seasons = max(1, int64(math.Round(expected))), int64(len(seasons))
	base.AcetateRoutes, base.ChlorideRoutes = int64(len(routes[0])), int64(len(routes[1]))
	q.fillSDs(&base)
	var list []rows.Plan
	for _, base.Design = range rows.PlanDesigns {
		for _, base.Margin = range slices.Compact([]float64{planMargin, in.Settings.SameMargin}) {
			p := Planned(base)
			p.StormsMore = stormsMore(p, int64(len(storms)), q.RoutesChanged)
			list = append(list, p)
		}
	}
	return list
}

// stormsMore counts from tonight: a crossover starts anew, and a winter on one material that is lacking has yet to come.
func stormsMore(p rows.Plan, done int64, changed int) *int64 {
	switch {
	case p.StormsNeeded == nil || p.Design == rows.Crossover:
		return p.StormsNeeded
	case p.Design == rows.OneWinterBefore && changed < leastChanged:
		done -= p.SeasonStorms
	}
	return new(max(0, *p.StormsNeeded-done))
}

// fillSDs takes the standard deviations that the fit gives, where it has them all.
func (q *questionFit) fillSDs(p *rows.Plan) {
	if !q.Fit.IsFitted() {
		return
	}
	route, own, class := q.Fit.Sd(RouteFactor), q.Fit.Sd(routeName), q.Fit.Sd(classFactor)
	if route != nil && own != nil && class != nil {
		p.SDRoute, p.SDAcetateRoute, p.SDStormClass, p.SDResidual = *route, math.Max(*own, leastRouteSD), *class, q.Fit.Result.Sigma
		p.Assumed = "district; season"
	}
}
