package verdicts

import (
	"math"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// bareCounts are the route-storms of one storm with reports, and of these those not bare within the cap: acetate, chloride.
type bareCounts struct{ notBare, counted [2]int }

func (c *bareCounts) add(more bareCounts) {
	for side := range c.counted {
		c.notBare[side] += more.notBare[side]
		c.counted[side] += more.counted[side]
	}
}

// countBare gathers the rows of hours by storm, from acetate's first storm on.
func countBare(hours []BesideSaltRow) []bareCounts {
	var first time.Time
	for _, row := range hours {
		if row.IsAcetate && (first.IsZero() || row.StormDate.Before(first)) {
			first = row.StormDate
		}
	}
	places := map[string]int{}
	var storms []bareCounts
	for _, row := range hours {
		if first.IsZero() || row.IsBareInCap == nil || row.StormDate.Before(first) {
			continue
		}
		at, known := places[row.StormID]
		if !known {
			at = len(storms)
			places[row.StormID] = at
			storms = append(storms, bareCounts{})
		}
		side := sideOf(row.IsAcetate)
		storms[at].counted[side]++
		if !*row.IsBareInCap {
			storms[at].notBare[side]++
		}
	}
	return storms
}

// notBareDiff is the difference of the smoothed shares (x + 1) / (n + 2) that were not bare, acetate less chloride, with t(storms - 1) on
// the larger of the jackknife's standard error over storms and the binomial one; nil where a class has no report, or one storm.
func notBareDiff(storms []bareCounts) *stats.Estimate {
	var all bareCounts
	for _, storm := range storms {
		all.add(storm)
	}
	if min(all.counted[0], all.counted[1]) == 0 || len(storms) < 2 {
		return nil
	}
	leftOut := make([]float64, len(storms))
	for i := range storms {
		var rest bareCounts
		for j, storm := range storms {
			if j != i {
				rest.add(storm)
			}
		}
		leftOut[i] = rest.smoothed(0) - rest.smoothed(1)
	}
	binomial := 0.0
	for side, n := range all.counted {
		share := all.smoothed(side)
		binomial += share * (1 - share) / float64(n+2)
	}
	se := math.Max(stats.JackknifeSE(leftOut), math.Sqrt(binomial))
	return given(stats.TInterval(all.smoothed(0)-all.smoothed(1), se, float64(len(storms)-1), comparisonLevel))
}

func (c bareCounts) smoothed(side int) float64 {
	return float64(c.notBare[side]+1) / float64(c.counted[side]+2)
}

// plain is the share itself; nil of nothing.
func (c bareCounts) plain(side int) *float64 {
	if c.counted[side] == 0 {
		return nil
	}
	return new(float64(c.notBare[side]) / float64(c.counted[side]))
}

// reportedShares are the shares of a season's treated route-storms, acetate and chloride, that have reports; nil of none.
func reportedShares(hours []BesideSaltRow, season string) (shares [2]*float64) {
	var silent bareCounts
	for _, row := range hours {
		if row.Season == season {
			side := sideOf(row.IsAcetate)
			silent.counted[side]++
			if row.IsBareInCap != nil {
				silent.notBare[side]++
			}
		}
	}
	return [2]*float64{silent.plain(0), silent.plain(1)}
}

// judgeRoads puts the roads into words: hours is the logarithm of the ratio of 1 + hours to bare, notBare the difference of the shares
// never bare.
func judgeRoads(hours *LearningEstimate, notBare *stats.Estimate, isReported bool, s *district.Settings) string {
	switch {
	case hours != nil && hours.Low > 0, notBare != nil && notBare.Low > 0:
		return rows.RoadsWorse
	case hours == nil || notBare == nil || !isReported:
		return rows.RoadsNotKnown
	case PercentChange(hours.High) <= s.ServiceMarginPct && notBare.High <= s.NotBareMargin:
		return rows.RoadsNoWorse
	}
	return rows.RoadsNotKnown
}
