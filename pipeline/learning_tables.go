package pipeline

import (
	"context"
	"math"
	"slices"
	"time"

	"lanetally/pipeline/stats"
)

// outlierDeviations is the number of robust deviations beyond which a residual is marked for review. Source: Iglewicz and Hoaglin
// (1993), How to Detect and Handle Outliers; from memory.
const outlierDeviations = 3.5

// LearningCurve is a point of a fitted curve for the pages, in mean weather: of crew all with the 90 % interval of the common
// curve, of a crew with the interval from its prediction error variance.
type LearningCurve struct {
	CrewID      string   `db:"crew_id"`
	PriorStorms int64    `db:"prior_storms"`
	Rate        float64  `db:"rate_lb_per_lane_mi"`
	RateLow90   *float64 `db:"rate_low90_lb_per_lane_mi"`
	RateHigh90  *float64 `db:"rate_high90_lb_per_lane_mi"`
}

// LearningResidual is a row of the curve's fit: what the model expected of that crew, storm and route, its effects included, and
// the residual of ln(rate). Deviations is the residual's distance from the median in robust deviations; nil where there is no
// spread to judge by. An outlier is marked for review and stays in the fit.
type LearningResidual struct {
	StormID    string   `db:"storm_id"`
	CrewID     string   `db:"crew_id"`
	RouteID    string   `db:"route_id"`
	Rate       float64  `db:"rate_lb_per_lane_mi"`
	Fitted     float64  `db:"fitted_rate_lb_per_lane_mi"`
	Residual   float64  `db:"residual"`
	Deviations *float64 `db:"robust_deviations"`
	IsOutlier  bool     `db:"is_outlier"`
}

// LearningOrder is the change per doubling with a step at an order in the model; empty where the two cannot be told apart.
type LearningOrder struct {
	FromDate     time.Time `db:"from_date"`
	Text         string    `db:"text"`
	RouteID      *string   `db:"route_id"`
	Change       *float64  `db:"change_per_doubling_pct"`
	ChangeLow90  *float64  `db:"change_low90_pct"`
	ChangeHigh90 *float64  `db:"change_high90_pct"`
	MovesToZero  bool      `db:"moves_to_zero"`
}

// LearningService is the one row of the service guard: the change of (1 + regain hours) from a first storm to the latest
// experience.
type LearningService struct {
	Treated      int64    `db:"treated_route_storms"`
	Reported     int64    `db:"reported_route_storms"`
	NotBare      int64    `db:"not_bare_route_storms"`
	Change       *float64 `db:"change_pct"`
	ChangeLow90  *float64 `db:"change_low90_pct"`
	ChangeHigh90 *float64 `db:"change_high90_pct"`
	DF           *float64 `db:"df"`
	Verdict      string   `db:"service_verdict"`
}

// LearningFit tells of each fit how many rows it was given and used, and what was left out of the model and why.
type LearningFit struct {
	Fit         string  `db:"fit"`
	State       string  `db:"state"`
	Reason      *string `db:"reason"`
	RowsGiven   int64   `db:"rows_given"`
	RowsUsed    int64   `db:"rows_used"`
	Storms      int64   `db:"storms"`
	Columns     *string `db:"columns"`
	NotAdjusted *string `db:"not_adjusted_for"`
	Constant    *string `db:"constant"`
	Dropped     *string `db:"cannot_be_told_apart"`
	Warnings    *string `db:"warnings"`
}

// LearningLeftOut counts the rows that a fit left out, by reason.
type LearningLeftOut struct {
	Fit    string `db:"fit"`
	Reason string `db:"reason"`
	Rows   int64  `db:"rows"`
}

// writeLearning replaces the tables of the learning step.
func writeLearning(ctx context.Context, l *Ledger, in *learningInput, out *learningOutcome) error {
	fits := []namedFit{{"curve", out.Curve.Fit}, {"corrected curve", out.Corrected.Fit}, {"beside salt", out.BesideSalt.Fit}, {"service", out.Service.Fit}}
	writes := []func() error{
		func() error { return replaceTable(ctx, l, "learning", learningRowsOf(out)) },
		func() error { return replaceTable(ctx, l, "learning_curves", curvePoints(out)) },
		func() error { return replaceTable(ctx, l, "learning_residuals", curveResiduals(out.Curve)) },
		func() error { return replaceTable(ctx, l, "learning_orders", orderRows(out.Curve)) },
		func() error {
			return replaceTable(ctx, l, "learning_service", []LearningService{serviceRowOf(out.Service)})
		},
		func() error { return replaceTable(ctx, l, "learning_bases", learningBases(out)) },
		func() error { return replaceTable(ctx, l, "learning_fits", fitRows(fits)) },
		func() error { return replaceTable(ctx, l, "learning_left_out", leftOutRows(in, fits)) },
	}
	for _, write := range writes {
		if err := write(); err != nil {
			return err
		}
	}
	return nil
}

type namedFit struct {
	name string
	fit  *learningFit
}

// curvePoints gives the common curve and each crew's from 0 to its latest experience, one point a storm.
func curvePoints(out *learningOutcome) []LearningCurve {
	var points []LearningCurve
	c := out.Curve
	if !c.Fit.IsFitted() {
		return nil
	}
	most := int64(0)
	for _, crew := range c.Crews {
		most = max(most, crew.PriorStorms)
	}
	for prior := range most + 1 {
		points = appendPoint(points, allCrews, prior, c.at(math.Log2(1+float64(prior))))
	}
	for _, crew := range c.Crews {
		for prior := range crew.PriorStorms + 1 {
			points = appendPoint(points, crew.CrewID, prior, c.ofCrew(crew.CrewID, 1, math.Log2(1+float64(prior))))
		}
	}
	return points
}

func appendPoint(points []LearningCurve, crewID string, prior int64, e *learningEstimate) []LearningCurve {
	rate, low, high := interval(e, math.Exp)
	if rate == nil {
		return points
	}
	return append(points, LearningCurve{CrewID: crewID, PriorStorms: prior, Rate: *rate, RateLow90: low, RateHigh90: high})
}

func curveResiduals(c *learningCurve) []LearningResidual {
	if !c.Fit.IsFitted() {
		return nil
	}
	residuals := c.Fit.Result.Residual
	deviations, err := stats.RobustDeviations(residuals)
	rows := make([]LearningResidual, len(c.Rows))
	for i, row := range c.Rows {
		rows[i] = LearningResidual{StormID: row.StormID, CrewID: row.CrewID, RouteID: row.RouteID, Rate: row.Rate,
			Fitted: math.Exp(c.Fit.Result.Fitted[i]), Residual: residuals[i]}
		if err == nil {
			rows[i].Deviations = finite(deviations[i])
			rows[i].IsOutlier = math.Abs(deviations[i]) > outlierDeviations
		}
	}
	return rows
}

func orderRows(c *learningCurve) []LearningOrder {
	var rows []LearningOrder
	for _, step := range c.Orders {
		row := LearningOrder{FromDate: step.Order.FromDate, Text: step.Order.Text, MovesToZero: step.Moves}
		if step.Order.RouteID != "" {
			row.RouteID = &step.Order.RouteID
		}
		row.Change, row.ChangeLow90, row.ChangeHigh90 = interval(step.Change, percentChange)
		rows = append(rows, row)
	}
	return rows
}

func serviceRowOf(g *serviceGuard) LearningService {
	row := LearningService{Treated: int64(g.Treated), Reported: int64(g.Reported), NotBare: int64(g.NotBare), Verdict: g.Verdict}
	row.Change, row.ChangeLow90, row.ChangeHigh90 = interval(g.Change, percentChange)
	if g.Change != nil {
		row.DF = finite(g.Change.DF)
	}
	return row
}

func fitRows(fits []namedFit) []LearningFit {
	var rows []LearningFit
	for _, one := range fits {
		f := one.fit
		row := LearningFit{Fit: one.name, State: f.State, RowsGiven: int64(f.Given), RowsUsed: int64(len(f.Choice.Rows)),
			Storms: int64(f.Storms), Columns: joinedNames(f.Columns), NotAdjusted: joinedNames(f.Choice.NotAdjusted),
			Constant: joinedNames(f.Constant), Dropped: joinedNames(f.Dropped), Warnings: joinedNames(f.warnings())}
		if f.Reason != "" {
			row.Reason = &f.Reason
		}
		rows = append(rows, row)
	}
	return rows
}

// leftOutRows gives, for the curve, also the rows of crew_storms that never reached the fit, by learning_use.
func leftOutRows(in *learningInput, fits []namedFit) []LearningLeftOut {
	var rows []LearningLeftOut
	for _, use := range in.Uses {
		if use.Use != "used" {
			rows = append(rows, LearningLeftOut{Fit: "curve", Reason: use.Use, Rows: use.Rows})
		}
	}
	for _, one := range fits {
		for _, out := range one.fit.Choice.LeftOut {
			rows = append(rows, LearningLeftOut{Fit: one.name, Reason: out.Reason, Rows: int64(out.Rows)})
		}
	}
	slices.SortStableFunc(rows, func(a, b LearningLeftOut) int {
		if a.Fit < b.Fit {
			return -1
		}
		if a.Fit > b.Fit {
			return 1
		}
		return 0
	})
	return rows
}
