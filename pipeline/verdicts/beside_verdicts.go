package verdicts

import (
	"math"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// judgeStart holds the interval of the starting ratio against the band: few routes can hardly show more than that they meet.
func judgeStart(start *LearningEstimate, bySettings bool) string {
	switch {
	case start == nil:
		return rows.NotYetKnown
	case bySettings:
		return rows.BySettings
	case start.Low > math.Log(rows.StartBandHigh):
		return rows.StartAbove
	case start.High < math.Log(rows.StartBandLow):
		return rows.StartBelow
	}
	return rows.StartWithin
}

// judgeControl tells a fall of acetate rates from the fall of all rates. No more than salt: the interval shows that they came down by
// less than settledPct a doubling beyond it.
func judgeControl(net *LearningEstimate, bySettings bool) string {
	switch {
	case net == nil:
		return rows.ControlNone
	case bySettings:
		return rows.BySettings
	case net.High < 0:
		return rows.ControlBeyond
	case PercentChange(net.Low) > -settledPct:
		return rows.ControlNoMore
	}
	return rows.ControlNotKnown
}

// judgeMaterial puts the ratio of pounds into words; changed is the number of routes that tell the material from the road.
func judgeMaterial(season *LearningEstimate, storms, changed int, bySettings bool, s *district.Settings) string {
	switch {
	case storms < s.CompareMinStorms:
		return rows.TooEarly
	case bySettings:
		return rows.BySettings
	case changed < leastChanged:
		return rows.NotOfMaterial
	case season == nil:
		return rows.NotYetKnown
	}
	return rows.JudgeRatio(math.Exp(season.Low), math.Exp(season.High), s.SameMargin)
}

// judgeApplications does so of applications; equal they are only called where the routes tell the material from the road.
func judgeApplications(season *LearningEstimate, storms, changed int, s *district.Settings) string {
	switch {
	case storms < s.CompareMinStorms:
		return rows.TooEarly
	case season == nil:
		return rows.NotYetKnown
	}
	verdict := rows.JudgeRatio(math.Exp(season.Low), math.Exp(season.High), s.SameMargin)
	switch {
	case verdict == rows.Less:
		return rows.Fewer
	case verdict == rows.AboutTheSame && changed < leastChanged:
		return rows.NotYetKnown
	}
	return verdict
}

// withinMargin is how probable it is, by the t distribution of the estimate, that the ratio lies in [1/(1+margin), 1+margin]; nil of nil.
func withinMargin(e *LearningEstimate, margin float64) *float64 {
	if e == nil {
		return nil
	}
	upper, errUpper := stats.TBelow((math.Log1p(margin)-e.Value)/e.SE, e.DF)
	lower, errLower := stats.TBelow((-math.Log1p(margin)-e.Value)/e.SE, e.DF)
	if errUpper != nil || errLower != nil {
		return nil
	}
	return new(upper - lower)
}
