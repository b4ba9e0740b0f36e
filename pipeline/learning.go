package pipeline

import (
	"context"
	"math"
	"slices"
	"strings"

	"lanetally/site"
)

// learningOutcome is everything that the learning fits say.
type learningOutcome struct {
	Curve      *learningCurve
	Corrected  *learningCurve // the curve on weighed pounds
	Crews      []crewCurve
	BesideSalt *besideSalt
	Service    *serviceGuard
}

// fillLearning fits the learning curve, acetate beside salt and the service guard on the rows of the queries before it, and replaces
// the table learning and those beside it; settings give the fewest rows and storms, the service margin and the zone.
func fillLearning(ctx context.Context, l *Ledger, s *Settings) error {
	in, err := readLearning(ctx, l, s)
	if err != nil {
		return err
	}
	return writeLearning(ctx, l, in, judgeLearning(in))
}

// judgeLearning runs every fit. It reads no database and cannot fail: what cannot be told is said to be so.
func judgeLearning(in *learningInput) *learningOutcome {
	out := &learningOutcome{Curve: fitCurve(in), Corrected: fitCorrected(in)}
	out.Curve.holdAgainst(out.Corrected)
	out.Crews = crewCurves(out.Curve)
	out.BesideSalt = fitBesideSalt(in, out.Curve.LatestX)
	out.Service = fitService(in, out.Curve.LatestX)
	return out
}

// learningRowsOf gives the rows of export learning, by crew_id.
func learningRowsOf(out *learningOutcome) []site.Learning {
	rows := []site.Learning{out.districtRow()}
	for _, crew := range out.Crews {
		row := site.Learning{CrewID: crew.CrewID, Storms: int64(crew.Storms), Rows: int64(crew.Rows), Verdict: crew.Verdict.String(),
			RowsLeftOut: out.Curve.leftOutOf(crew.CrewID), PriorStormsLatest: finite(float64(crew.PriorStorms)),
			NotAdjustedFor: strings.Join(out.Curve.Fit.Choice.NotAdjusted, ";")}
		fillCurve(&row, crew.Start, crew.Change, crew.Latest)
		rows = append(rows, row)
	}
	slices.SortFunc(rows, func(a, b site.Learning) int {
		if a.CrewID < b.CrewID {
			return -1
		}
		return 1
	})
	return rows
}

func (out *learningOutcome) districtRow() site.Learning {
	c, s := out.Curve, out.BesideSalt
	row := site.Learning{CrewID: allCrews, Storms: int64(c.Fit.Storms), Rows: int64(len(c.Rows)), Verdict: c.Verdict.String(),
		RowsLeftOut: int64(c.Fit.Given - len(c.Rows)), NotAdjustedFor: strings.Join(c.Fit.Choice.NotAdjusted, ";"),
		StartVerdict: s.StartVerdict, ControlVerdict: s.ControlVerdict, ServiceVerdict: out.Service.Verdict}
	if c.HasLatest {
		row.PriorStormsLatest = finite(c.LatestStorms)
	}
	fillCurve(&row, c.Start, c.Change, c.Latest)
	if c.Fit.IsFitted() {
		row.SDStorm, row.SDRoute, row.SDCrew = c.Fit.sd(stormFactor), c.Fit.sd(routeFactor), c.Fit.sd(crewFactor)
		row.SDSlope, row.SDResidual = c.Fit.sd(slopeName), finite(c.Fit.Result.Sigma)
	}
	row.StartRatio, row.StartRatioLow90, row.StartRatioHigh90 = interval(s.Start, math.Exp)
	row.LatestRatio, row.LatestRatioLow90, row.LatestRatioHigh90 = interval(s.Latest, math.Exp)
	row.NetChangePct, row.NetLow90Pct, row.NetHigh90Pct = interval(s.Net, percentChange)
	row.SaltTrendPct, _, _ = interval(s.SaltTrend, percentChange)
	return row
}

func fillCurve(row *site.Learning, start, change, latest *learningEstimate) {
	row.StartRate, _, _ = interval(start, math.Exp)
	row.LatestRate, _, _ = interval(latest, math.Exp)
	row.ChangePct, row.ChangeLow90Pct, row.ChangeHigh90Pct = interval(change, percentChange)
	if change != nil {
		row.DF = finite(change.DF)
	}
}

// leftOutOf counts a crew's rows that lacked a covariate.
func (c *learningCurve) leftOutOf(crewID string) int64 {
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
func interval(e *learningEstimate, scale func(float64) float64) (value, low, high *float64) {
	if e == nil {
		return nil, nil, nil
	}
	return finite(scale(e.Value)), finite(scale(e.Low)), finite(scale(e.High))
}
