// Package verdicts is what the season says: the learning curve, the comparison of two classes, the stock outlook.
//
// In: tables that queries select, the same whatever their order. Out: tables of estimates with intervals and words; a value that the
// data cannot give is missing, never NaN and never 0.
package verdicts

import (
	"context"
	"math"
	"slices"
	"strings"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// learningOutcome is everything that the learning fits say.
type learningOutcome struct {
	Curve      *LearningCurve
	Corrected  *LearningCurve // the curve on weighed pounds
	Crews      []CrewCurve
	BesideSalt *besideSalt
	Service    *serviceGuard
}

// FillLearning fits the learning curve, acetate beside salt and the service guard on the rows of the queries before it, and replaces
// the table learning and those beside it; settings give the fewest rows and storms, the service margin and the zone.
func FillLearning(ctx context.Context, l *ledger.Ledger, s *district.Settings) error {
	in, err := ReadLearning(ctx, l, s)
	if err != nil {
		return err
	}
	return writeLearning(ctx, l, in, JudgeLearning(in))
}

// JudgeLearning runs every fit. It reads no database and cannot fail: what cannot be told is said to be so.
func JudgeLearning(in *LearningInput) *learningOutcome {
	out := &learningOutcome{Curve: FitCurve(in), Corrected: fitCorrected(in)}
	out.Curve.holdAgainst(out.Corrected)
	out.Crews = crewCurves(out.Curve)
	out.BesideSalt = fitBesideSalt(in, out.Curve.LatestX)
	out.Service = fitService(in, out.Curve.LatestX)
	return out
}

// LearningRowsOf gives the rows of export learning, by crew_id.
func LearningRowsOf(out *learningOutcome) []rows.Learning {
	list := []rows.Learning{out.districtRow()}
	for _, crew := range out.Crews {
		row := rows.Learning{CrewID: crew.CrewID, Storms: int64(crew.Storms), Rows: int64(crew.Rows), Verdict: crew.Verdict.String(),
			RowsLeftOut: out.Curve.leftOutOf(crew.CrewID), PriorStormsLatest: ledger.Finite(float64(crew.PriorStorms)),
			NotAdjustedFor: strings.Join(out.Curve.Fit.Choice.NotAdjusted, ";")}
		fillCurve(&row, crew.Start, crew.Change, crew.Latest)
		list = append(list, row)
	}
	slices.SortFunc(list, func(a, b rows.Learning) int {
		if a.CrewID < b.CrewID {
			return -1
		}
		return 1
	})
	return list
}

func (out *learningOutcome) districtRow() rows.Learning {
	c, s := out.Curve, out.BesideSalt
	row := rows.Learning{CrewID: district.AllCrews, Storms: int64(c.Fit.Storms), Rows: int64(len(c.Rows)), Verdict: c.Verdict.String(),
		RowsLeftOut: int64(c.Fit.Given - len(c.Rows)), NotAdjustedFor: strings.Join(c.Fit.Choice.NotAdjusted, ";"),
		StartVerdict: s.StartVerdict, ControlVerdict: s.ControlVerdict, ServiceVerdict: out.Service.Verdict}
	if c.HasLatest {
		row.PriorStormsLatest = ledger.Finite(c.LatestStorms)
	}
	fillCurve(&row, c.Start, c.Change, c.Latest)
	if c.Fit.IsFitted() {
		row.SDStorm, row.SDRoute, row.SDCrew = c.Fit.Sd(StormFactor), c.Fit.Sd(RouteFactor), c.Fit.Sd(CrewFactor)
		row.SDSlope, row.SDResidual = c.Fit.Sd(slopeName), ledger.Finite(c.Fit.Result.Sigma)
	}
	row.StartRatio, row.StartRatioLow90, row.StartRatioHigh90 = interval(s.Start, math.Exp)
	row.LatestRatio, row.LatestRatioLow90, row.LatestRatioHigh90 = interval(s.Latest, math.Exp)
	row.NetChangePct, row.NetLow90Pct, row.NetHigh90Pct = interval(s.Net, PercentChange)
	row.SaltTrendPct, _, _ = interval(s.SaltTrend, PercentChange)
	return row
}

func fillCurve(row *rows.Learning, start, change, latest *LearningEstimate) {
	row.StartRate, _, _ = interval(start, math.Exp)
	row.LatestRate, _, _ = interval(latest, math.Exp)
	row.ChangePct, row.ChangeLow90Pct, row.ChangeHigh90Pct = interval(change, PercentChange)
	if change != nil {
		row.DF = ledger.Finite(change.DF)
	}
}

// leftOutOf counts a crew's rows that lacked a covariate.
func (c *LearningCurve) leftOutOf(crewID string) int64 {
	count := int64(0)
	for _, row := range c.Given {
		if row.CrewID == crewID {
			count++
		}
	}
	for _, row := range c.Rows {
		if row.CrewID == crewID {
			count--
		}
	}
	return count
}

// interval takes an estimate from the scale of the logarithm; an end that overflows is nil.
func interval(e *LearningEstimate, scale func(float64) float64) (value, low, high *float64) {
	if e == nil {
		return nil, nil, nil
	}
	return ledger.Finite(scale(e.Value)), ledger.Finite(scale(e.Low)), ledger.Finite(scale(e.High))
}
