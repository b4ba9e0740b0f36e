package pipeline

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
	if c.Verdict.Base == verdictTooEarly {
		return
	}
	c.ReportedBase = c.Verdict.Base
	switch {
	case corrected.Verdict.Base == verdictTooEarly:
		c.Verdict.Caveats = append(c.Verdict.Caveats, unweighedCaveat)
	case corrected.Verdict.Base != c.Verdict.Base:
		c.Verdict.Base = verdictFromSettings
	}
}

// LearningBasis is the curve's fit on one basis of pounds: reported by the spreaders, or corrected by weighed loads. A nil is an
// empty cell. Verdict is that of the basis alone.
type LearningBasis struct {
	Basis        string   `db:"basis"`
	Rows         int64    `db:"rows"`
	Storms       int64    `db:"storms"`
	StartRate    *float64 `db:"start_rate_lb_per_lane_mi"`
	Change       *float64 `db:"change_per_doubling_pct"`
	ChangeLow90  *float64 `db:"change_low90_pct"`
	ChangeHigh90 *float64 `db:"change_high90_pct"`
	LatestRate   *float64 `db:"latest_rate_lb_per_lane_mi"`
	Verdict      string   `db:"verdict"`
}

// learningBases gives both fits, corrected first.
func learningBases(out *learningOutcome) []LearningBasis {
	reported := out.Curve.basisRow(basisReported)
	if out.Curve.ReportedBase != "" {
		reported.Verdict = out.Curve.ReportedBase
	}
	return []LearningBasis{out.Corrected.basisRow(basisCorrected), reported}
}

func (c *learningCurve) basisRow(basis string) LearningBasis {
	var of Learning
	of.fillCurve(c.Start, c.Change, c.Latest)
	return LearningBasis{Basis: basis, Rows: int64(len(c.Rows)), Storms: int64(c.Fit.Storms), StartRate: of.StartRate,
		Change: of.ChangePerDoubling, ChangeLow90: of.ChangeLow90, ChangeHigh90: of.ChangeHigh90, LatestRate: of.LatestRate,
		Verdict: c.Verdict.Base}
}
