package scenario

import (
	"math"
	"slices"

	"lanetally/pipeline/scenario/land"
)

// ClaimTruth is the planted value of the figure by which a season's claim is answered, without chance: a ratio acetate / chloride.
type ClaimTruth struct {
	Season string  `json:"season"`
	Claim  int     `json:"claim"`
	Figure float64 `json:"figure"`
}

// routeStorm is what was planted of one acetate route in one storm: its pounds, and their sums of experience and of ln(acetate / chloride).
type routeStorm struct{ lb, x, lnRatio float64 }

// tellClaims works out the five claims of each season, over the acetate routes and the storms that had ended:
//
//	1 1 + hours to bare: the mean over its storms, with the wait for the next look; roads that never come bare are the same share of both
//	2 rates at the first storm: the law's
//	3 rates per doubling: the law's, with the mean of the crews' slopes
//	4 applications: rounds and the chance to treat are the same for both
//	5 pounds at the latest experience: the straight line on experience through all that was put down so far. Applications are alike, so it
//	  differs from the rate by the wrong setting alone: the pounds are those that reached the road
func (s *district) tellClaims(perDoubling float64) (all []ClaimTruth) {
	var points []routeStorm
	latest := make([]float64, len(land.SheetCrews))
	for season, name := range land.SeasonNames {
		places := map[[2]int]int{}
		for _, p := range s.winter.passes {
			if p.lnRatio == 0 || p.isUnlogged || s.storms[p.storm].Season != season || s.storms[p.storm].IsOpen {
				continue
			}
			crew, key := land.CrewIndex(p.crewID), [2]int{p.storm, p.route}
			latest[crew] = max(latest[crew], p.x)
			if _, known := places[key]; !known {
				places[key] = len(points)
				points = append(points, routeStorm{})
			}
			at := &points[places[key]]
			at.lb, at.x, at.lnRatio = at.lb+p.dispensedLb, at.x+p.dispensedLb*p.x, at.lnRatio+p.dispensedLb*p.lnRatio
		}
		pounds := math.Exp(lineAt(median(latest), points))
		for i, figure := range []float64{s.hoursRatio(season), lawStartRatio, math.Exp(perDoubling), 1, pounds} {
			all = append(all, ClaimTruth{name, i + 1, figure})
		}
	}
	return all
}

// hoursRatio is the geometric mean over a season's storms in the zones of pairs.
func (s *district) hoursRatio(season int) float64 {
	var sum, n float64
	for _, x := range s.storms {
		for _, zs := range x.Zones[:len(land.SheetZones)] {
			if x.Season == season && !x.IsOpen && !zs.IsDry {
				wait := lookMin / 2 / 60
				sum += math.Log((1 + wait + regainH(zs, true)) / (1 + wait + regainH(zs, false)))
				n++
			}
		}
	}
	return math.Exp((1 - neverBareShare) * sum / n)
}

// lineAt is the value at x of the straight line through the points, by least squares.
func lineAt(x float64, points []routeStorm) float64 {
	var meanX, meanY, xx, xy float64
	for _, p := range points {
		meanX, meanY = meanX+p.x/p.lb/float64(len(points)), meanY+p.lnRatio/p.lb/float64(len(points))
	}
	for _, p := range points {
		dx := p.x/p.lb - meanX
		xx, xy = xx+dx*dx, xy+dx*(p.lnRatio/p.lb-meanY)
	}
	return meanY + xy/xx*(x-meanX)
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2
}
