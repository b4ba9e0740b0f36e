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

// learningOutcome is everything that the fits say. Seasons may be empty.
type learningOutcome struct {
	Curve     *LearningCurve
	Corrected *LearningCurve // the curve on weighed pounds
	Crews     []CrewCurve
	Seasons   []*seasonFits // in order
	Plans     []rows.Plan
}

// FillVerdicts fits the learning curve and, season by season, acetate beside salt, and makes the tables of both: learning and those
// beside it, beside_salt, claims, season_verdicts and plans.
func FillVerdicts(ctx context.Context, l *ledger.Ledger, s *district.Settings) error {
	in, err := ReadLearning(ctx, l, s)
	if err != nil {
		return err
	}
	seasons, err := readSeasons(ctx, l, s, in)
	if err != nil {
		return err
	}
	in.Widening = seasons.wideningIn(in.latestSeason())
	in.BySettings = seasons.isBySettings(in.latestSeason(), s.Compare)
	out := JudgeLearning(in)
	out.Seasons = JudgeSeasons(seasons)
	if n := len(out.Seasons); n > 0 {
		out.Plans = out.Seasons[n-1].plans(seasons)
	}
	return writeVerdicts(ctx, l, in, out)
}

// JudgeLearning fits the curve, on reported and on weighed pounds, and those of the crews. It reads no database and cannot fail: what
// cannot be told is said to be so.
func JudgeLearning(in *LearningInput) *learningOutcome {
	out := &learningOutcome{Curve: FitCurve(in), Corrected: fitCorrected(in)}
	out.Curve.holdAgainst(out.Corrected)
	out.Crews = crewCurves(out.Curve)
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
	slices.SortFunc(list, func(a, b rows.Learning) int { return strings.Compare(a.CrewID, b.CrewID) })
	return list
}

func (out *learningOutcome) districtRow() rows.Learning {
	c := out.Curve
	row := rows.Learning{CrewID: rows.AllCrews, Storms: int64(c.Fit.Storms), Rows: int64(len(c.Rows)), Verdict: c.Verdict.String(),
		RowsLeftOut: int64(c.Fit.Given - len(c.Rows)), NotAdjustedFor: strings.Join(c.Fit.Choice.NotAdjusted, ";"),
		StartVerdict: rows.NotYetKnown, ControlVerdict: rows.ControlNone, ServiceVerdict: rows.RoadsNotKnown, PathVerdict: rows.TooEarly}
	if c.HasLatest {
		row.PriorStormsLatest = ledger.Finite(c.LatestStorms)
	}
	fillCurve(&row, c.Start, c.Change, c.Latest)
	if c.Fit.IsFitted() {
		row.SDStorm, row.SDRoute, row.SDCrew = c.Fit.Sd(StormFactor), c.Fit.Sd(RouteFactor), c.Fit.Sd(CrewFactor)
		row.SDSlope, row.SDResidual = c.Fit.Sd(slopeName), ledger.Finite(c.Fit.Result.Sigma)
	}
	if len(out.Seasons) > 0 {
		fillBesideSalt(&row, out.Seasons[len(out.Seasons)-1])
	}
	return row
}

// fillBesideSalt adds what the latest season's rates say beside salt's.
func fillBesideSalt(row *rows.Learning, f *seasonFits) {
	rate := f.Fits[rows.QuestionRate]
	row.StartRatio, row.StartRatioLow90, row.StartRatioHigh90 = interval(rate.Start.widened(f.Widening), math.Exp)
	row.LatestRatio, row.LatestRatioLow90, row.LatestRatioHigh90 = interval(rate.Latest.widened(f.Widening), math.Exp)
	row.NetChangePct, row.NetLow90Pct, row.NetHigh90Pct = interval(rate.Net.widened(f.Widening), PercentChange)
	if rate.Fit.IsFitted() && rate.Fit.has(saltTrendColumn) {
		row.SaltTrendPct, _, _ = interval(rate.Fit.of(map[string]float64{saltTrendColumn: 1}), PercentChange)
	}
	row.StartVerdict, row.ControlVerdict, row.PathVerdict, row.ServiceVerdict = f.Start, f.Control, f.RatePath, f.Verdicts.RegainVerdict
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
	for _, crew := range c.Crews {
		if crew.CrewID == crewID {
			count -= int64(crew.Rows)
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
