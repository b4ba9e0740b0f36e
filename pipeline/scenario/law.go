package scenario

import (
	"math"
	"time"

	"lanetally/pipeline/scenario/land"
)

// The law of the demo's application rates. For a storm, route and crew, with x = log2(1 + prior_storms):
//
//	ln(rate) = lnBase + perF (air_f_mean - meanF) + perInH (intensity - meanInH) + freezing perFreezing
//	         + storm + route + crew + residual                       (chloride solids)
//	         + ln(startRatio) + (perDoubling + slope_crew) x         (acetate solids, beside the above)
//
// intensity = precip_in / max(hours, 1) and freezing = 1 when freezing_h >= 0.5, both of the route's zone. The
// numbers are ours; the way of an ordinary crew from 37 % above salt to salt's own rate after 40 storms is the middle of the planned path,
// which begins in the band of 25 to 50 % that is common practice.
const (
	lawBaseLb      = 215.0 // lb per lane-mile of salt at meanF and meanInH
	lawMeanF       = 24.0
	lawMeanInH     = 0.03
	lawPerF        = -0.014
	lawPerInH      = 3.0
	lawPerFreezing = 0.15
	lawStartRatio  = 1.37
	lawLateRatio   = 1.00
	lawLateStorms  = 40 // storms worked after which an ordinary crew is at lawLateRatio
	lawSDStorm     = 0.09
	lawSDRoute     = 0.03
	lawSDCrew      = 0.04
	lawSDResidual  = 0.09
	lawSDPass      = 0.05 // of each pass around its storm, route and crew
	treatShare     = 0.85 // chance that a later round also treats, on roads of either class
	cycleFromMin   = 150  // from a round's begin to the next, of every truck: no shorter than the longest way of one
	cycleToMin     = 190
)

// lawPerDoubling is the ordinary crew's change of ln(rate) per doubling of (1 + storms worked).
func lawPerDoubling() float64 {
	return math.Log(lawLateRatio/lawStartRatio) / math.Log2(1+lawLateStorms)
}

// effects are the random parts of the law, drawn once.
type effects struct {
	storm, route, crew []float64
	residual           land.Draw
}

func drawEffects(seed uint64, storms []land.Storm) effects {
	d := land.NewDraw(seed, "law")
	e := effects{storm: normals(d, len(storms), lawSDStorm), route: normals(d, len(land.SheetRoutes), lawSDRoute),
		crew: normals(d, len(land.SheetCrews), lawSDCrew)}
	land.Centre(e.crew, func(int) int { return 0 })
	land.Centre(e.storm, func(i int) int { return storms[i].Season })
	// Routes by their history, so that the planted ratios are no matter of luck.
	land.Centre(e.route, func(i int) int { return land.Routes[i].AcetateSeason })
	e.route = append(e.route, make([]float64, len(land.HarborRoutes))...) // none: the harbor's stretches are as the law has them
	e.crew = append(e.crew, make([]float64, len(land.HarborCrews))...)
	e.residual = land.NewDraw(seed, "residuals of the law")
	return e
}

func normals(d land.Draw, n int, sd float64) []float64 {
	values := make([]float64, n)
	for i := range values {
		values[i] = d.Normal(0, sd)
	}
	return values
}

// lnRate is the law without its residual.
func (e effects) lnRate(storm int, zs land.ZoneStorm, route, crew int, isAcetate bool, priorStorms int) float64 {
	y := math.Log(lawBaseLb) + lawPerF*(zs.AirFMean-lawMeanF) + lawPerInH*(zs.Intensity-lawMeanInH)
	if zs.FreezingH >= 0.5 {
		y += lawPerFreezing
	}
	y += e.storm[storm] + e.route[route] + e.crew[crew]
	if isAcetate {
		y += lnRatio(crew, priorStorms)
	}
	return y
}

// lnRatio is what acetate adds to the law.
func lnRatio(crew, priorStorms int) float64 {
	return math.Log(lawStartRatio) + (lawPerDoubling()+land.Crews[crew].Slope)*experience(priorStorms)
}

// experience is x of the law.
func experience(priorStorms int) float64 { return math.Log2(1 + float64(priorStorms)) }

// isDayShift: the day crew begins its passes from 05:00 to 17:00 local.
func isDayShift(local time.Time) bool { return local.Hour() >= 5 && local.Hour() < 17 }
