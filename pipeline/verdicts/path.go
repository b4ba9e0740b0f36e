package verdicts

import (
	"math"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
)

// plannedPath is the planned ratio at experience x, as logarithms: from the usual starting band to 1 give or take plan_margin, straight
// on x, reached after plan_storms storms worked.
func plannedPath(x float64, s *district.Settings) (low, high float64) {
	done := math.Min(1, x/math.Log2(1+s.PlanStorms))
	end := math.Log1p(s.PlanMargin)
	startLow, startHigh := math.Log(rows.StartBandLow), math.Log(rows.StartBandHigh)
	return startLow + (-end-startLow)*done, startHigh + (end-startHigh)*done
}

// judgePath holds the ratio at the latest experience x against the planned path.
func judgePath(latest *LearningEstimate, x float64, bySettings bool, s *district.Settings) string {
	low, high := plannedPath(x, s)
	switch {
	case latest == nil:
		return rows.TooEarly
	case bySettings:
		return rows.BySettings
	case latest.Low > high:
		return rows.PathAbove
	case latest.High < low:
		return rows.PathBelow
	case latest.High <= high+math.Log1p(s.PlanMargin):
		return rows.PathOn
	}
	return rows.PathNotAbove
}
