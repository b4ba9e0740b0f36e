package verdicts

import (
	"math"
	"slices"

	"lanetally/pipeline/rows"
)

// The band that acetate is usually begun in, as a multiple of the salt rate: common practice; and the columns of the fit beside salt.
const (
	startBandLow  = 1.25
	startBandHigh = 1.50

	acetateColumn    = "acetate"
	saltTrendColumn  = "w"
	acetateExpColumn = "acetate_x"
)

// besideSalt is the fit of acetate and salt rates together. Estimates are on the scale of the logarithm; nil where the rows
// cannot tell them.
type besideSalt struct {
	Fit            *LearningFit
	Start          *LearningEstimate // c0
	Latest         *LearningEstimate // c0 + c2 x at the latest x
	Net            *LearningEstimate // c2
	SaltTrend      *LearningEstimate // c1
	StartVerdict   string
	ControlVerdict string
}

// besideSaltDesign is the model of definitions, learning, beside salt. A storm count that does not vary is left out.
func besideSaltDesign(in *LearningInput) *learningDesign {
	n := len(in.BesideSalt)
	d := &learningDesign{MinRows: in.MinRows, MinStorms: in.MinStorms}
	acetate, w, x := make([]float64, n), make([]float64, n), make([]float64, n)
	storms, crews, routes := make([]string, n), make([]string, n), make([]string, n)
	for i, row := range in.BesideSalt {
		d.Response = append(d.Response, math.Log(row.Rate))
		d.Weather = append(d.Weather, WeatherValues{row.AirF, row.Intensity, row.Freezing})
		w[i], storms[i], crews[i], routes[i] = row.W, row.StormID, row.CrewID, row.RouteID
		if row.MaterialClass == in.Compare {
			acetate[i], x[i] = 1, row.X
		}
	}
	d.Columns = []designColumn{{Name: acetateColumn, Values: acetate}, {Name: acetateExpColumn, Values: x},
		{Name: saltTrendColumn, Values: w, IsOptional: true}}
	d.Factors = []designFactor{{StormFactor, storms}, {CrewFactor, crews}, {RouteFactor, routes}}
	return d
}

// fitBesideSalt fits acetate beside salt and judges start and trend; latestX is the median of the crews' latest x.
func fitBesideSalt(in *LearningInput, latestX float64) *besideSalt {
	s := &besideSalt{StartVerdict: rows.NotYetKnown, ControlVerdict: rows.ControlNone,
		Fit: &LearningFit{State: rows.TooEarly, Given: len(in.BesideSalt)}}
	if given, storms := saltRows(in); given < in.MinRows || storms < in.MinStorms || given == len(in.BesideSalt) {
		s.Fit.Reason = "too few rows of " + rows.EverydayWord(in.Beside) + ", or none of " + in.Compare
		return s
	}
	s.Fit = FitLearning(besideSaltDesign(in))
	if !s.Fit.IsFitted() {
		return s
	}
	s.Net = s.estimate(map[string]float64{acetateExpColumn: 1})
	if s.Fit.has(saltTrendColumn) {
		s.SaltTrend = s.estimate(map[string]float64{saltTrendColumn: 1})
	}
	if s.canTellStart() {
		s.Start = s.estimate(map[string]float64{acetateColumn: 1})
		s.Latest = s.estimate(map[string]float64{acetateColumn: 1, acetateExpColumn: latestX})
	}
	s.StartVerdict = judgeStart(s.Start)
	s.ControlVerdict = judgeControl(s.Net, s.SaltTrend)
	return s
}

// saltRows counts the rows of the class beside and their storms.
func saltRows(in *LearningInput) (count, storms int) {
	seen := map[string]bool{}
	for _, row := range in.BesideSalt {
		if row.MaterialClass == in.Beside {
			count++
			seen[row.StormID] = true
		}
	}
	return count, len(seen)
}

// canTellStart is false where routes and crews differ in material and are too few to tell the material from the road: the model
// then has neither effect, and a ratio without them would look far too sure.
func (s *besideSalt) canTellStart() bool {
	return !slices.Contains(s.Fit.Dropped, RouteFactor) || s.Fit.component(CrewFactor) >= 0
}

func (s *besideSalt) estimate(weights map[string]float64) *LearningEstimate {
	e, ok := s.Fit.Estimate(s.Fit.Combination(weights))
	if !ok {
		return nil
	}
	return &e
}

// judgeStart holds the interval of the starting ratio against the band.
func judgeStart(start *LearningEstimate) string {
	if start == nil {
		return rows.NotYetKnown
	}
	low, high := math.Exp(start.Low), math.Exp(start.High)
	switch {
	case low >= startBandLow && high <= startBandHigh:
		return rows.StartWithin
	case low > startBandHigh:
		return rows.StartAbove
	case high < startBandLow:
		return rows.StartBelow
	}
	return rows.NotYetKnown
}

// judgeControl tells a fall of acetate rates from the fall of all rates.
func judgeControl(net, saltTrend *LearningEstimate) string {
	switch {
	case net == nil:
		return rows.ControlNone
	case net.High < 0:
		return rows.ControlBeyond
	case net.Low <= 0 && saltTrend != nil && saltTrend.High < 0:
		return rows.ControlNoMore
	}
	return rows.ControlNotKnown
}
