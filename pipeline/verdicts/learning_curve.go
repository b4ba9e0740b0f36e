package verdicts

import (
	"math"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// settledPct: an interval of the change per doubling inside this many percent on both sides of 0 is settled.
const settledPct = 2.0

// learningVerdict is a base verdict and the caveats that travel with it.
type learningVerdict struct {
	Base    string
	Caveats []string
}

// String is how exports and pages write it: the base verdict first, each caveat after "; ".
func (v learningVerdict) String() string {
	return strings.Join(append([]string{v.Base}, v.Caveats...), "; ")
}

// LearningCurve is the fit of ln(rate) on experience. Start, Change are on the scale of the logarithm: b0, b1. Crews are those of
// the rows used; LatestX is the median of their latest x.
type LearningCurve struct {
	Fit          *LearningFit
	Given        []LearningRow
	Rows         []LearningRow // rows used
	Crews        []crewExperience
	Start        *LearningEstimate
	Change       *LearningEstimate
	Latest       *LearningEstimate
	LatestX      float64
	LatestStorms float64
	HasLatest    bool
	Widening     float64 // of every interval while the season is open; else 1
	Orders       []orderStep
	Verdict      learningVerdict
	PlainBase    string // the base verdict without the widening of an open season: what weighed pounds are held against
	ReportedBase string // the base verdict before it was held against weighed pounds; "" where it was not
}

// orderStep is the change per doubling with a step at an order in the model. Change is nil where the step leaves x no answer.
type orderStep struct {
	Order  rows.Order
	Change *LearningEstimate
	Moves  bool // whether the interval with the step, not widened, holds 0
}

// CurveDesign is the model of definitions, learning, curve. The crew stands before the route among the factors: where every crew
// keeps to one route of its own the two cannot be told apart, and the crew's effect then stands for both.
func CurveDesign(in *LearningInput) *learningDesign {
	n := len(in.Rows)
	d := &learningDesign{Slopes: []designSlope{{slopeName, CrewFactor, Experience}}, MinRows: in.MinRows, MinStorms: in.MinStorms}
	x := make([]float64, n)
	storms, crews, routes := make([]string, n), make([]string, n), make([]string, n)
	for i, row := range in.Rows {
		d.Response = append(d.Response, math.Log(row.Rate))
		d.Weather = append(d.Weather, WeatherValues{row.AirF, row.Intensity, row.Freezing})
		x[i], storms[i], crews[i], routes[i] = row.X, row.StormID, row.CrewID, row.RouteID
	}
	d.Columns = []designColumn{{Name: Experience, Values: x}}
	d.Factors = []designFactor{{StormFactor, storms}, {CrewFactor, crews}, {RouteFactor, routes}}
	return d
}

// FitCurve fits the curve and judges it.
func FitCurve(in *LearningInput) *LearningCurve {
	design := CurveDesign(in)
	c := &LearningCurve{Fit: FitLearning(design), Given: in.Rows}
	c.Rows = pick(in.Rows, c.Fit.Choice.Rows)
	c.Crews = experienceByCrew(c.Rows)
	c.LatestX, c.LatestStorms, c.HasLatest = latestExperience(c.Crews)
	c.Widening = in.widening()
	var plain *LearningEstimate
	if c.Fit.IsFitted() {
		c.Start = c.at(0)
		c.Latest = c.at(c.LatestX)
		plain = c.Fit.of(map[string]float64{Experience: 1})
		c.Change = plain.widened(c.Widening)
	}
	c.Verdict.Base, c.PlainBase = c.baseVerdict(in.BySettings, c.Change), c.baseVerdict(in.BySettings, plain)
	if c.Verdict.Base == rows.Falling || c.Verdict.Base == rows.Rising {
		c.Orders = stepAtOrders(in, design)
		if slices.ContainsFunc(c.Orders, func(o orderStep) bool { return o.Moves }) {
			c.Verdict.Base, c.PlainBase = rows.FromOrder, rows.FromOrder
		}
	}
	c.Verdict.Caveats = verdictCaveats(in, c.Fit)
	return c
}

// at is the curve at experience x, in mean weather, on the scale of the logarithm.
func (c *LearningCurve) at(x float64) *LearningEstimate {
	return c.Fit.of(map[string]float64{interceptName: 1, Experience: x}).widened(c.Widening)
}

func (c *LearningCurve) baseVerdict(bySettings bool, change *LearningEstimate) string {
	if c.Fit.State == rows.TooEarly {
		return rows.TooEarly
	}
	if bySettings {
		return rows.BySettings
	}
	if change == nil {
		return rows.NoTrend
	}
	return judgeChange(PercentChange(change.Low), PercentChange(change.High))
}

// judgeChange judges the interval of a change per doubling, in percent.
func judgeChange(lowPct, highPct float64) string {
	switch {
	case highPct < 0:
		return rows.Falling
	case lowPct > 0:
		return rows.Rising
	case lowPct >= -settledPct && highPct <= settledPct:
		return rows.Settled
	}
	return rows.NoTrend
}

// verdictCaveats are what every verdict of a fit says beside itself.
func verdictCaveats(in *LearningInput, f *LearningFit) []string {
	var caveats []string
	if !in.isSeasonClosed() {
		caveats = append(caveats, rows.SoFar)
	}
	for _, name := range f.Choice.NotAdjusted {
		caveats = append(caveats, "not adjusted for "+name)
	}
	return append(caveats, in.Caveats...)
}

// stepAtOrders fits the curve again with a step at each order that applies: 1 from its date on, on its route where it names one.
// An order before or after all rows it concerns adds nothing and is passed over.
func stepAtOrders(in *LearningInput, design *learningDesign) []orderStep {
	var steps []orderStep
	for _, order := range in.Orders {
		if order.MaterialClass != "" && order.MaterialClass != in.Compare {
			continue
		}
		step, applies := orderColumn(len(in.Rows), order, func(i int) (string, time.Time) {
			return in.Rows[i].RouteID, in.Rows[i].StormDate
		})
		if !applies {
			continue
		}
		with := *design
		with.Columns = append(slices.Clone(design.Columns), designColumn{Name: "order", Values: step})
		steps = append(steps, judgeStep(order, FitLearning(&with), in.widening()))
	}
	return steps
}

func judgeStep(order rows.Order, fit *LearningFit, widening float64) orderStep {
	step := orderStep{Order: order, Moves: true}
	if fit.IsFitted() {
		if change := fit.of(map[string]float64{Experience: 1}); change != nil {
			step.Change = change.widened(widening)
			step.Moves = change.Low <= 0 && change.High >= 0
		}
	}
	return step
}

// orderColumn is the step over n rows, and whether there are rows on both sides of it. The route of a row that the order leaves alone
// whatever its route is "".
func orderColumn(n int, order rows.Order, row func(i int) (routeID string, date time.Time)) (step []float64, applies bool) {
	step = make([]float64, n)
	before, after := false, false
	for i := range n {
		routeID, date := row(i)
		if routeID == "" || order.RouteID != "" && routeID != order.RouteID {
			continue
		}
		if date.Before(order.FromDate) {
			before = true
			continue
		}
		step[i], after = 1, true
	}
	return step, before && after
}
