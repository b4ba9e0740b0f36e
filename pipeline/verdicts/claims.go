package verdicts

import (
	"math"

	"lanetally/pipeline/rows"
)

// claimFacts are what a season's five answers rest on. Estimates are logarithms, widened while the season is open.
type claimFacts struct {
	Roads, Start, Control, Path, Material                        string
	IsReported                                                   bool // roads, enough of them
	IsPathAlone                                                  bool // the season is open, or the first with acetate
	HoursRatio, StartRatio, NetChange, ApplicationsRatio, Latest *LearningEstimate
	MaterialRatio                                                *LearningEstimate
}

// answerClaims answers claims 1 to 5 in order, without season and what is left out. Where roads are worse, or not known for want of
// reports, nothing else can be told.
func answerClaims(f claimFacts) []rows.ClaimRow {
	answers := [5]string{
		answer(f.Roads == rows.RoadsNoWorse, f.Roads == rows.RoadsWorse),
		answer(f.Start == rows.StartWithin && f.StartRatio.Low > 0, f.Start == rows.StartAbove || f.Start == rows.StartBelow),
		answer(f.Control == rows.ControlBeyond, f.Control == rows.ControlNoMore),
		answer(f.ApplicationsRatio != nil && f.ApplicationsRatio.High < 0, f.ApplicationsRatio != nil && f.ApplicationsRatio.Low > 0),
		f.poundsAnswer(),
	}
	pounds := f.MaterialRatio
	if f.IsPathAlone {
		pounds = f.Latest
	}
	list := make([]rows.ClaimRow, len(answers))
	for i, e := range []*LearningEstimate{f.HoursRatio, f.StartRatio, f.NetChange, f.ApplicationsRatio, pounds} {
		list[i] = rows.ClaimRow{Claim: int64(i + 1), Answer: answers[i]}
		if i > 0 && (f.Roads == rows.RoadsWorse || !f.IsReported) {
			list[i].Answer = rows.ClaimCannot
		}
		list[i].Figure, list[i].Low90, list[i].High90 = interval(e, math.Exp)
	}
	return list
}

// poundsAnswer asks for the planned path and, at the end of a later season, for about the same pounds or less.
func (f claimFacts) poundsAnswer() string {
	isSame := f.IsPathAlone || f.Material == rows.AboutTheSame || f.Material == rows.Less
	return answer(f.Path == rows.PathOn && isSame, f.Path == rows.PathAbove || !f.IsPathAlone && f.Material == rows.More)
}

func answer(yes, no bool) string {
	switch {
	case no:
		return rows.ClaimNo
	case yes:
		return rows.ClaimYes
	}
	return rows.ClaimCannot
}
