package verdicts

import (
	"math"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// comparisonLevel is the coverage of every interval of the comparison: its ends are two one-sided tests at 5 %.
const comparisonLevel = 0.90

// describeSeason is the season row of its compared storms, in the order of their begins: what the routes got, without a verdict.
// widening is that of an open season's intervals, else 1.
func describeSeason(season string, storms []comparedStorm, widening float64) rows.SeasonVerdicts {
	row := rows.SeasonVerdicts{Season: season, Storms: int64(len(storms))}
	describeTotals(&row, storms, widening)
	describeTypical(&row, storms, widening)
	describeEnd(&row, storms, widening)
	describeRegain(&row, storms, widening)
	return row
}

// describeTotals compares pounds and applications over the season's sums, with the jackknife over storms.
func describeTotals(row *rows.SeasonVerdicts, storms []comparedStorm, widening float64) {
	pounds, applications := [2]stats.Share{}, [2]stats.Share{}
	for _, storm := range storms {
		for i, sums := range []classSums{storm.acetate, storm.chloride} {
			pounds[i].Over = append(pounds[i].Over, float64(sums.applied))
			pounds[i].Under = append(pounds[i].Under, float64(sums.length))
			applications[i].Over = append(applications[i].Over, float64(sums.treated))
			applications[i].Under = append(applications[i].Under, float64(sums.length))
		}
	}
	row.TotalRatio = plainTotal(pounds)
	row.Low90, row.High90 = endsOf(widenedRatio(jackknifeTotal(pounds), widening))
	row.ApplicationsLow90, row.ApplicationsHigh90 = endsOf(widenedRatio(jackknifeTotal(applications), widening))
}

// jackknifeTotal is acetate over chloride with its interval, nil where some storm holds all that can be compared.
func jackknifeTotal(sides [2]stats.Share) *stats.Estimate {
	return given(stats.JackknifeShareRatio(sides[0], sides[1], comparisonLevel))
}

// plainTotal is acetate over chloride of the sums, nil where either is 0 or missing.
func plainTotal(sides [2]stats.Share) *float64 {
	var sums [4]float64
	for i, values := range [][]float64{sides[0].Over, sides[0].Under, sides[1].Over, sides[1].Under} {
		for _, value := range values {
			sums[i] += value
		}
		if sums[i] <= 0 {
			return nil
		}
	}
	return new((sums[0] / sums[1]) / (sums[2] / sums[3]))
}

// describeTypical takes each storm once, however large, and counts the storms in which a class needed nothing.
func describeTypical(row *rows.SeasonVerdicts, storms []comparedStorm, widening float64) {
	var ratios []float64
	for _, storm := range storms {
		if storm.acetate.applied == 0 {
			row.ZeroAcetate++
		}
		if storm.chloride.applied == 0 {
			row.ZeroChloride++
		}
		if storm.logRatio != nil {
			ratios = append(ratios, math.Exp(*storm.logRatio))
		}
	}
	if typical := given(stats.GeometricMean(ratios, comparisonLevel)); typical != nil {
		row.TypicalRatio = &typical.Value
		row.TypicalLow90, row.TypicalHigh90 = endsOf(widenedRatio(typical, widening))
	} else if len(ratios) == 1 {
		row.TypicalRatio = &ratios[0]
	}
}

// describeEnd is the height, at the latest storm with a ratio, of the line of log ratios on experience, with the interval of the mean.
func describeEnd(row *rows.SeasonVerdicts, storms []comparedStorm, widening float64) {
	var x, y []float64
	for _, storm := range storms {
		if storm.logRatio != nil && storm.experience != nil {
			x, y = append(x, *storm.experience), append(y, *storm.logRatio)
		}
	}
	line, err := stats.FitLine(x, y)
	if err != nil {
		return
	}
	end := widenedInterval(given(line.MeanAt(x[len(x)-1], comparisonLevel)), widening)
	if end == nil {
		return
	}
	ends := [3]float64{math.Exp(end.Value), math.Exp(end.Low), math.Exp(end.High)}
	for _, value := range ends {
		if math.IsInf(value, 0) {
			return
		}
	}
	row.EndRatio, row.EndLow90, row.EndHigh90 = &ends[0], &ends[1], &ends[2]
}

// describeRegain is the mean over storms of acetate less chloride hours to bare lanes.
func describeRegain(row *rows.SeasonVerdicts, storms []comparedStorm, widening float64) {
	var hours []float64
	for _, storm := range storms {
		if storm.regainDiffH != nil {
			hours = append(hours, *storm.regainDiffH)
		}
	}
	row.RegainDiffH = meanOf(hours)
	row.RegainLow90H, row.RegainHigh90H = endsOf(widenedInterval(given(stats.Mean(hours, comparisonLevel)), widening))
}

// given turns an answer that the data cannot give into nil.
func given(e stats.Estimate, err error) *stats.Estimate {
	if err != nil {
		return nil
	}
	return &e
}

// endsOf gives both ends of an interval, nil of none.
func endsOf(e *stats.Estimate) (low, high *float64) {
	if e == nil {
		return nil, nil
	}
	return &e.Low, &e.High
}
