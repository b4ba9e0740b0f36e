package verdicts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
)

func planOf(design string, acetate, chloride, storms, seasons, districts int64) rows.Plan {
	p := DefaultPlan()
	p.Design, p.AcetateRoutes, p.ChlorideRoutes = design, acetate, chloride
	p.SeasonStorms, p.Seasons, p.Districts = storms, seasons, districts
	return p
}

// By hand, of standard deviations 0.05 (district), 0.03, 0.20, 0.06, 0.06, 0.20; 1/3 + 1/7 = 0.4761905. With 25 storms a season, the parts
// in the order own answer, storm and class, rest, routes, season, district:
//
//	none before, 1 season:  0.0036/3 + 0.0072/25 + 0.04 x 0.4761905/25 + 0.04 x 0.4761905 + 0.0009            = 0.0221975
//	winter before, 1:       0.0036/3 + 0.0072/25 + 0.04 x 0.4761905 x 2/25 + 0.0009                           = 0.0039118
//	winter before, 2, x 4:  0.0036/12 + 0.0072/200 + 0.04 x 0.4761905 x (1/50 + 1/25)/4 + 0.0009/2 + 0.0025/4 = 0.0016967
//	crossover, 24 of 25:    0.0036/10 + 0.0072/24 + 0.04 x 4/240 + 0.0009                                     = 0.0022267
//
// Mean squares of the second: routes (0.0036 + 0.04 x 2/25)/3 = 0.0022667 with 2, storms (0.0072 + 0.0190476)/25 = 0.0010499 with 24
// degrees of freedom: 0.0039118^2 / (0.0022667^2/2 + 0.0010499^2/24) = 5.85.
func TestPlanVarianceByHand(t *testing.T) {
	for _, one := range []struct {
		plan rows.Plan
		want float64
	}{
		{planOf(rows.NoWinterBefore, 3, 7, 25, 1, 1), 0.0221975},
		{planOf(rows.OneWinterBefore, 3, 7, 25, 1, 1), 0.0039118},
		{planOf(rows.OneWinterBefore, 3, 7, 25, 2, 4), 0.0016967},
		{planOf(rows.Crossover, 3, 7, 25, 1, 1), 0.0022267},
	} {
		got, _ := planVariance(one.plan, float64(one.plan.SeasonStorms*one.plan.Seasons))
		assert.InDelta(t, one.want, got, 1e-7, one.plan.Design)
	}
	_, df := planVariance(planOf(rows.OneWinterBefore, 3, 7, 25, 1, 1), 25)
	assert.InDelta(t, 5.85, df, 0.01)
}

// drawnRatio is the plain estimate of one drawn pool of districts, in logarithms: differences of class means storm by storm, less what the
// winter before shows of the routes, or of routes that change halfway.
func drawnRatio(p rows.Plan, random *rand.Rand) float64 {
	normal := func(sd float64) float64 { return sd * random.NormFloat64() }
	season := make([]float64, p.Seasons)
	for s := range season {
		season[s] = normal(p.SDSeason)
	}
	all := int(p.AcetateRoutes + p.ChlorideRoutes)
	total := 0.0
	for range p.Districts {
		district := 0.0
		if p.Districts > 1 {
			district = normal(p.SDDistrict)
		}
		route, own := make([]float64, all), make([]float64, all)
		for r := range all {
			route[r], own[r] = normal(p.SDRoute), normal(p.SDAcetateRoute)
		}
		storm := func(effect float64, onAcetate func(r int) bool, isSalt bool) float64 {
			sums, counts := [2]float64{}, [2]float64{}
			classes := [2]float64{normal(p.SDStormClass), normal(p.SDStormClass)}
			for r := range all {
				side := sideOf(onAcetate(r))
				y := route[r] + normal(p.SDResidual)
				if !isSalt {
					y += classes[side]
					if side == 0 {
						y += effect + own[r]
					}
				}
				sums[side], counts[side] = sums[side]+y, counts[side]+1
			}
			return sums[0]/counts[0] - sums[1]/counts[1]
		}
		isFirst := func(r int) bool { return r < int(p.AcetateRoutes) }
		var after, before []float64
		for s := range season {
			for n := range int(p.SeasonStorms) {
				onAcetate, half := isFirst, int(p.SeasonStorms)/2
				if p.Design == rows.Crossover {
					if n == half {
						continue
					}
					onAcetate = func(r int) bool { return (r%2 == 0) == (n < half) }
				}
				after = append(after, storm(district+season[s], onAcetate, false))
			}
		}
		if p.Design == rows.OneWinterBefore {
			for range p.SeasonStorms {
				before = append(before, storm(0, isFirst, true))
			}
			total -= stat.Mean(before, nil)
		}
		total += stat.Mean(after, nil)
	}
	return total / float64(p.Districts)
}

// The variance over 4,000 drawn pools is the formula's within 9 %, four standard errors; make simulate draws ten times as many, within
// 3 %. With a winter before and more seasons, doubling the rest for the winter, which then weighs as much as all seasons after it,
// gives 0.00160 where the drawn pools of four districts and two seasons give 0.00170: the formula counts its storms as they are.
func TestSimulatedVarianceOfPlans(t *testing.T) {
	draws, allowed := 4000, 0.09
	if os.Getenv("LANETALLY_SIMULATE") != "" {
		draws, allowed = 40000, 0.03
	}
	for i, p := range []rows.Plan{
		planOf(rows.NoWinterBefore, 3, 7, 25, 1, 1), planOf(rows.NoWinterBefore, 6, 6, 10, 2, 3),
		planOf(rows.OneWinterBefore, 3, 7, 25, 1, 1), planOf(rows.OneWinterBefore, 3, 7, 25, 2, 4),
		planOf(rows.Crossover, 3, 7, 25, 1, 1), planOf(rows.Crossover, 4, 4, 13, 2, 2),
	} {
		random := rand.New(rand.NewPCG(1987, uint64(i)))
		values := make([]float64, draws)
		for k := range values {
			values[k] = drawnRatio(p, random)
		}
		want, _ := planVariance(p, float64(p.SeasonStorms*p.Seasons))
		got := stat.Variance(values, nil)
		t.Logf("| %s | %d v %d | %d x %d | %d | %.5f | %.5f |", p.Design, p.AcetateRoutes, p.ChlorideRoutes, p.Seasons, p.SeasonStorms,
			p.Districts, want, got)
		assert.InEpsilon(t, want, got, allowed, "%+v", p)
	}
}

// TestSimulatedChanceOfPlans: districts whose acetate truly takes what salt takes, drawn and fitted as a night does it, are called about
// the same as often as planned: within 25 points of 40 districts, three standard errors; make simulate asks 8 of
// 400.
func TestSimulatedChanceOfPlans(t *testing.T) {
	draws, allowed := 40, 0.25
	if told := os.Getenv("LANETALLY_SIMULATE"); told != "" {
		seasons, err := strconv.Atoi(told)
		require.NoError(t, err)
		draws, allowed = seasons/5, 0.08
	}
	for i, world := range []struct {
		acetate, chloride, seasons int
		ownSD, margin              float64
	}{{3, 7, 1, 0.06, 0.15}, {6, 6, 1, 0.06, 0.10}, {6, 6, 1, 0.06, 0.15}, {6, 6, 2, 0.06, 0.10}, {3, 7, 2, 0.12, 0.15}} {
		if i > 1 && draws == 40 {
			break
		}
		w := besideWorld{Routes: world.acetate + world.chloride, Acetate: world.acetate, Crews: 5, Seasons: 1 + world.seasons, Before: 1,
			Storms: 25, RouteSD: 0.2, OwnSD: world.ownSD, StormClassSD: 0.06, RestSD: 0.2}
		p := planOf(rows.OneWinterBefore, int64(world.acetate), int64(world.chloride), 25, int64(world.seasons), 1)
		p.SDSeason, p.SDAcetateRoute, p.Margin = 0, world.ownSD, world.margin
		found := 0.0
		for seed := range uint64(draws) {
			q := fitQuestion(rows.QuestionPounds, w.rowsOf(rows.QuestionPounds, 1000*uint64(i)+seed), fmt.Sprintf("%d-%02d",
				2027+world.seasons, 28+world.seasons), 5, 12, 5)
			require.NotNil(t, q.Season)
			if rows.JudgeRatio(math.Exp(q.Season.Low), math.Exp(q.Season.High), world.margin) == rows.AboutTheSame {
				found += 1 / float64(draws)
			}
		}
		want := planChance(p, int64(25*world.seasons))
		t.Logf("| %d v %d, %d seasons, own %.2f, within %.0f %% | %.3f | %.3f |", world.acetate, world.chloride, world.seasons, world.ownSD,
			100*world.margin, want, found)
		assert.InDelta(t, want, found, allowed, "%+v", world)
	}
}

// What a plan takes is the least that reaches the chance, and nothing where no number does.
func TestPlannedIsTheLeast(t *testing.T) {
	p := Planned(planOf(rows.Crossover, 3, 7, 25, 2, 1))
	require.NotNil(t, p.StormsNeeded)
	assert.GreaterOrEqual(t, planChance(p, *p.StormsNeeded), 0.8)
	assert.Less(t, planChance(p, *p.StormsNeeded-1), 0.8)
	assert.Equal(t, int64(math.Ceil(float64(*p.StormsNeeded)/25)), *p.SeasonsNeeded)
	require.NotNil(t, p.AcetateRoutesNeeded)
	fewer := p
	fewer.AcetateRoutes, fewer.ChlorideRoutes = *p.AcetateRoutesNeeded-1, *p.ChlorideRoutesNeeded-2
	assert.Less(t, Planned(fewer).ChanceShare, 0.8)
	require.NotNil(t, p.DistrictsNeeded)
	pool := p
	pool.Districts = *p.DistrictsNeeded
	assert.GreaterOrEqual(t, Planned(pool).ChanceShare, 0.8)

	none := Planned(planOf(rows.NoWinterBefore, 3, 7, 25, 2, 1))
	assert.Nil(t, none.StormsNeeded, "routes that differ by a fifth, three of them: no number of storms tells the material")
	assert.Nil(t, none.SeasonsNeeded)
	assert.Zero(t, Planned(planOf(rows.OneWinterBefore, 1, 9, 25, 2, 1)).ChanceShare, "one route says nothing of how routes differ")
	assert.Zero(t, planChance(planOf(rows.Crossover, 20, 20, 25, 1, 1), 10), "a route has fewer than 5 storms of a class")
}

// The district's own plan: 4 acetate and 6 chloride routes, a winter of 20 storms before two with acetate.
func TestPlanOfADistrict(t *testing.T) {
	w := standardWorld()
	in := &SeasonsInput{Settings: district.DefaultSettings(), AsOfSeason: "2030-31", Rows: w.rowsOf(rows.QuestionPounds, 11)}
	in.Closed = []closedStorms{{"2027-28", 18}, {"2028-29", 22}, {"2029-30", 20}}
	judged := JudgeSeasons(in)
	latest := judged[len(judged)-1]
	list := latest.plans(in)
	require.Len(t, list, 6)
	fit := latest.Fits[rows.QuestionPounds].Fit
	for i, p := range list {
		assert.Equal(t, rows.PlanDesigns[i/2], p.Design)
		assert.Equal(t, []float64{0.10, 0.15}[i%2], p.Margin)
		assert.Equal(t, []int64{4, 6, 20, 2, 1}, []int64{p.AcetateRoutes, p.ChlorideRoutes, p.SeasonStorms, p.Seasons, p.Districts})
		assert.Equal(t, []float64{*fit.Sd(RouteFactor), *fit.Sd(classFactor), fit.Result.Sigma, 0.05, 0.03},
			[]float64{p.SDRoute, p.SDStormClass, p.SDResidual, p.SDDistrict, p.SDSeason})
		assert.GreaterOrEqual(t, p.SDAcetateRoute, 0.04)
		assert.Equal(t, "district; season", p.Assumed)
		assert.Equal(t, planChance(p, 40), p.ChanceShare)
	}
	crossed := list[5]
	require.NotNil(t, crossed.StormsNeeded)
	assert.Equal(t, crossed.StormsNeeded, crossed.StormsMore, "a crossover starts anew")
	winter := list[3]
	winter.StormsNeeded = new(int64(55))
	assert.Equal(t, int64(15), *stormsMore(winter, 40, 4), "55 less the 40 with acetate")
	assert.Equal(t, int64(35), *stormsMore(winter, 40, 1), "and the winter of 20 that is lacking")
	assert.Equal(t, int64(0), *stormsMore(winter, 60, 4))
	winter.StormsNeeded = nil
	assert.Nil(t, stormsMore(winter, 40, 4))

	in.Rows = in.Rows[:0]
	assert.Nil(t, in.judge("2029-30").plans(in), "no routes of either class")
	w.Seasons, w.Storms, w.Before = 1, 4, 0
	in.Rows = w.rowsOf(rows.QuestionPounds, 11)
	early := in.judge("2027-28").plans(in)
	require.Len(t, early, 6)
	assert.Equal(t, "all", early[0].Assumed, "no fit of four storms")
	assert.Equal(t, 0.20, early[0].SDRoute)
}
