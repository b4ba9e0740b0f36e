package pipeline

import "lanetally/site"
import "lanetally/pipeline/rows"

// The bases of the curve, as table learning_bases names them.
const (
	basisReported  = "reported"
	basisCorrected = "corrected"
)

// fitCorrected fits the curve on the rows with weighed pounds. Orders, seasons and limits are those of the reported curve.
func fitCorrected(in *learningInput) *learningCurve {
	corrected := *in
	corrected.Rows = in.Corrected
	return fitCurve(&corrected)
}

// holdAgainst holds the verdict on reported pounds against the one on weighed pounds. Where both are judged and differ, neither
// is given: it depends on spreader settings. Where too few rows have weighed pounds, the verdict stands with a caveat.
func (c *learningCurve) holdAgainst(corrected *learningCurve) {
	if c.Verdict.Base == rows.TooEarly {
		return
	}
	c.ReportedBase = c.Verdict.Base
	switch {
	case corrected.Verdict.Base == rows.TooEarly:
		c.Verdict.Caveats = append(c.Verdict.Caveats, rows.Unweighed)
	case corrected.Verdict.Base != c.Verdict.Base:
		c.Verdict.Base = rows.FromSettings
	}
}

// learningBases gives both fits, corrected first.
func learningBases(out *learningOutcome) []site.LearningBasis {
	reported := out.Curve.basisRow(basisReported)
	if out.Curve.ReportedBase != "" {
		reported.Verdict = out.Curve.ReportedBase
	}
	return []site.LearningBasis{out.Corrected.basisRow(basisCorrected), reported}
}

func (c *learningCurve) basisRow(basis string) site.LearningBasis {
	var of site.Learning
	fillCurve(&of, c.Start, c.Change, c.Latest)
	return site.LearningBasis{Basis: basis, Rows: int64(len(c.Rows)), Storms: int64(c.Fit.Storms), StartRate: of.StartRate,
		ChangePct: of.ChangePct, ChangeLow90Pct: of.ChangeLow90Pct, ChangeHigh90Pct: of.ChangeHigh90Pct, LatestRate: of.LatestRate,
		Verdict: c.Verdict.Base}
}
