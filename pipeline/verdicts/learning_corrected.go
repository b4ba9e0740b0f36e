package verdicts

import "lanetally/pipeline/rows"

// The bases of the curve, as table learning_bases names them.
const (
	basisReported  = "reported"
	basisCorrected = "corrected"
)

// fitCorrected fits the curve on the rows with weighed pounds. Orders, seasons and limits are those of the reported curve.
func fitCorrected(in *LearningInput) *LearningCurve {
	corrected := *in
	corrected.Rows = in.Corrected
	return FitCurve(&corrected)
}

// holdAgainst holds the verdict on reported pounds against the one on weighed pounds. Where both are judged and differ, neither
// is given: it depends on spreader settings. Where too few rows have weighed pounds, the verdict stands with a caveat.
func (c *LearningCurve) holdAgainst(corrected *LearningCurve) {
	if c.Verdict.Base == rows.TooEarly {
		return
	}
	c.ReportedBase = c.Verdict.Base
	switch {
	case corrected.Verdict.Base == rows.TooEarly:
		c.Verdict.Caveats = append(c.Verdict.Caveats, rows.Unweighed)
	case corrected.PlainBase != c.PlainBase:
		c.Verdict.Base = rows.FromSettings
	case c.Verdict.Base == c.PlainBase && explanation(corrected.Orders) != "":
		c.Verdict.Base = corrected.Verdict.Base
	}
}

// learningBases gives both fits, corrected first.
func learningBases(out *learningOutcome) []rows.LearningBasis {
	reported := out.Curve.basisRow(basisReported)
	if out.Curve.ReportedBase != "" {
		reported.Verdict = out.Curve.ReportedBase
	}
	return []rows.LearningBasis{out.Corrected.basisRow(basisCorrected), reported}
}

func (c *LearningCurve) basisRow(basis string) rows.LearningBasis {
	var of rows.Learning
	fillCurve(&of, c.Start, c.Change, c.Latest)
	return rows.LearningBasis{Basis: basis, Rows: int64(len(c.Rows)), Storms: int64(c.Fit.Storms), StartRate: of.StartRate,
		ChangePct: of.ChangePct, ChangeLow90Pct: of.ChangeLow90Pct, ChangeHigh90Pct: of.ChangeHigh90Pct, LatestRate: of.LatestRate,
		Verdict: c.Verdict.Base}
}
