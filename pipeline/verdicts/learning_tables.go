package verdicts

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// OutlierDeviations is the number of robust deviations beyond which a residual is marked for review. Source: Iglewicz and Hoaglin
// (1993), How to Detect and Handle Outliers; from memory.
const OutlierDeviations = 3.5

// writeVerdicts replaces the tables of the step.
func writeVerdicts(ctx context.Context, l *ledger.Ledger, in *LearningInput, out *learningOutcome) error {
	fits := []namedFit{{"curve", out.Curve.Fit}, {"corrected curve", out.Corrected.Fit}}
	var verdicts []rows.SeasonVerdicts
	var ratios []rows.BesideSalt
	var claims []rows.ClaimRow
	for i, season := range out.Seasons {
		verdicts, claims = append(verdicts, season.Verdicts), append(claims, season.Claims...)
		ratios = append(ratios, season.besideSaltRows()...)
		for _, question := range questions {
			if i == len(out.Seasons)-1 {
				fits = append(fits, namedFit{"beside salt: " + question, season.Fits[question].Fit})
			}
		}
	}
	return errors.Join(
		ledger.ReplaceTable(ctx, l, "learning", LearningRowsOf(out)),
		ledger.ReplaceTable(ctx, l, "learning_curves", curvePoints(out)),
		ledger.ReplaceTable(ctx, l, "learning_residuals", curveResiduals(out.Curve)),
		ledger.ReplaceTable(ctx, l, "learning_orders", orderRows(out.Curve)),
		ledger.ReplaceTable(ctx, l, "season_verdicts", verdicts),
		ledger.ReplaceTable(ctx, l, "beside_salt", ratios),
		ledger.ReplaceTable(ctx, l, "claims", claims),
		ledger.ReplaceTable(ctx, l, "plans", out.Plans),
		ledger.ReplaceTable(ctx, l, "learning_bases", learningBases(out)),
		ledger.ReplaceTable(ctx, l, "learning_fits", fitRows(fits)),
		ledger.ReplaceTable(ctx, l, "learning_left_out", leftOutRows(in, fits)))
}

type namedFit struct {
	name string
	fit  *LearningFit
}

// curvePoints gives the common curve and each crew's from 0 to its latest experience, one point a storm.
func curvePoints(out *learningOutcome) []rows.LearningCurve {
	var points []rows.LearningCurve
	c := out.Curve
	if !c.Fit.IsFitted() {
		return nil
	}
	most := int64(0)
	for _, crew := range c.Crews {
		most = max(most, crew.PriorStorms)
	}
	for prior := range most + 1 {
		points = appendPoint(points, rows.AllCrews, prior, c.at(math.Log2(1+float64(prior))))
	}
	for _, crew := range c.Crews {
		for prior := range crew.PriorStorms + 1 {
			points = appendPoint(points, crew.CrewID, prior, c.ofCrew(crew.CrewID, 1, math.Log2(1+float64(prior))))
		}
	}
	return points
}

func appendPoint(points []rows.LearningCurve, crewID string, prior int64, e *LearningEstimate) []rows.LearningCurve {
	rate, low, high := interval(e, math.Exp)
	if rate == nil {
		return points
	}
	return append(points, rows.LearningCurve{CrewID: crewID, PriorStorms: prior, Rate: rate, RateLow90: low, RateHigh90: high})
}

func curveResiduals(c *LearningCurve) []rows.LearningResidual {
	if !c.Fit.IsFitted() {
		return nil
	}
	residuals := c.Fit.Result.Residual
	deviations, err := stats.RobustDeviations(residuals)
	list := make([]rows.LearningResidual, len(c.Rows))
	for i, row := range c.Rows {
		fitted := math.Exp(c.Fit.Result.Fitted[i])
		list[i] = rows.LearningResidual{StormID: row.StormID, CrewID: row.CrewID, RouteID: row.RouteID, Rate: &row.Rate,
			Fitted: &fitted, Residual: residuals[i]}
		if err == nil {
			list[i].Deviations = ledger.Finite(deviations[i])
			list[i].IsOutlier = math.Abs(deviations[i]) > OutlierDeviations
		}
	}
	return list
}

func orderRows(c *LearningCurve) []rows.LearningOrder {
	var list []rows.LearningOrder
	for i, step := range c.Orders {
		row := rows.LearningOrder{Number: int64(i + 1), Moves: step.Moves}
		if step.Order != nil {
			row.FromDate, row.Text, row.RouteID = &step.Order.FromDate, step.Order.Text, step.Order.RouteID
		}
		row.ChangePct, row.ChangeLow90Pct, row.ChangeHigh90Pct = interval(step.Change, PercentChange)
		list = append(list, row)
	}
	return list
}

func fitRows(fits []namedFit) []rows.LearningFit {
	var list []rows.LearningFit
	for _, one := range fits {
		f := one.fit
		list = append(list, rows.LearningFit{Fit: one.name, State: f.State, Reason: f.Reason, RowsGiven: int64(f.Given),
			RowsUsed: int64(len(f.Choice.Rows)),
			Storms:   int64(f.Storms), Columns: strings.Join(f.Columns, ";"), NotAdjusted: strings.Join(f.Choice.NotAdjusted, ";"),
			Constant: strings.Join(f.Constant, ";"), Dropped: strings.Join(f.Dropped, ";"), Warnings: strings.Join(f.warnings(), ";")})
	}
	return list
}

// leftOutRows gives, for the curve, also the rows of crew_storms that never reached the fit, by learning_use.
func leftOutRows(in *LearningInput, fits []namedFit) []rows.LearningLeftOut {
	var list []rows.LearningLeftOut
	for _, use := range in.Uses {
		if use.Use != "used" {
			list = append(list, rows.LearningLeftOut{Fit: "curve", Reason: use.Use, Rows: use.Rows})
		}
	}
	for _, one := range fits {
		for _, out := range one.fit.Choice.LeftOut {
			list = append(list, rows.LearningLeftOut{Fit: one.name, Reason: out.Reason, Rows: int64(out.Rows)})
		}
	}
	slices.SortStableFunc(list, func(a, b rows.LearningLeftOut) int { return strings.Compare(a.Fit, b.Fit) })
	return list
}
