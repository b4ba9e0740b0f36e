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
	PlainBase    string // what the curve alone says without the widening of an open season: what weighed pounds are held against
	ReportedBase string // the base verdict before it was held against weighed pounds; "" where it was not
}

// orderStep is the change per doubling with a step at an order in the model or, without an order, with a straight change by each storm
// worked, as instructions that nobody logged make it. Change is nil where that leaves x no answer.
type orderStep struct {
	Order  *rows.Order
	Change *LearningEstimate
	Moves  bool // whether the interval shown no longer lies on its side of 0
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
		c.Orders = c.stepAtOrders(in, design)
		if moved := explanation(c.Orders); moved != "" {
			c.Verdict.Base = moved
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

// stepAtOrders fits the curve again with what else may have moved it.
func (c *LearningCurve) stepAtOrders(in *LearningInput, design *learningDesign) []orderStep {
	straight := make([]float64, len(in.Rows))
	for i, row := range in.Rows {
		straight[i] = float64(row.PriorStorms)
	}
	return design.besides(in.Orders, func(i int) (string, string, time.Time) {
		return in.Compare, in.Rows[i].RouteID, in.Rows[i].StormDate
	}, straight, Experience, c.Widening, c.Verdict.Base == rows.Falling)
}

// besides fits the design again with a step at each order that applies: 1 from its date on, for its class and on its route where it names
// them; then with the straight change. An order before or after all rows it concerns adds nothing and is passed over. Each asks whether
// the change by the column asked, a fall or a rise, stays one.
func (d *learningDesign) besides(orders []rows.Order, row func(i int) (class, routeID string, date time.Time), straight []float64,
	asked string, widening float64, isFall bool) []orderStep {
	var steps []orderStep
	fit := func(order *rows.Order, column []float64) {
		with := *d
		with.Columns = append(slices.Clone(d.Columns), designColumn{Name: "step", Values: column})
		step := orderStep{Order: order, Moves: true}
		if fit := FitLearning(&with); fit.IsFitted() && fit.has(asked) {
			if step.Change = fit.of(map[string]float64{asked: 1}).widened(widening); step.Change != nil {
				step.Moves = isFall && step.Change.High >= 0 || !isFall && step.Change.Low <= 0
			}
		}
		steps = append(steps, step)
	}
	for _, order := range orders {
		column, before, after := make([]float64, len(straight)), false, false
		for i := range column {
			class, routeID, date := row(i)
			switch {
			case order.MaterialClass != "" && class != order.MaterialClass, order.RouteID != "" && routeID != order.RouteID:
			case date.Before(order.FromDate):
				before = true
			default:
				column[i], after = 1, true
			}
		}
		if before && after {
			fit(&order, column)
		}
	}
	fit(nil, straight)
	return steps
}

// explanation is what a change cannot be told from, orders first; "" for nothing.
func explanation(steps []orderStep) string {
	moved := ""
	for _, step := range steps {
		switch {
		case step.Moves && step.Order != nil:
			return rows.FromOrder
		case step.Moves:
			moved = rows.FromInstruction
		}
	}
	return moved
}
