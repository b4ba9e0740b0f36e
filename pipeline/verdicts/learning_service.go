package verdicts

import (
	"math"

	"lanetally/pipeline/rows"
)

// The limits of the service guard. Source: definitions, learning, service guard.
const (
	notBareLimit   = 0.10 // share of reported route-storms that may stay not bare
	reportsAtLeast = 0.80 // share of treated route-storms that must have reports
)

// serviceGuard tells whether roads came bare as soon while rates moved. Change is d1 x latest x, on the scale of the logarithm
// of 1 + hours: the change from a first storm to the latest experience. Windows that are still open count nowhere.
type serviceGuard struct {
	Fit      *LearningFit
	Treated  int // route-storms whose window has closed
	Reported int // of those, with reports
	NotBare  int // of those, not bare when the window closed
	Change   *LearningEstimate
	Verdict  string
}

// serviceDesign is the model of definitions, learning, service guard.
func serviceDesign(in *LearningInput) *learningDesign {
	n := len(in.Service)
	d := &learningDesign{MinRows: in.MinRows, MinStorms: in.MinStorms, Response: make([]float64, n), Unusable: make([]string, n)}
	x := make([]float64, n)
	storms, routes := make([]string, n), make([]string, n)
	for i, row := range in.Service {
		d.Weather = append(d.Weather, WeatherValues{row.AirF, row.Intensity, row.Freezing})
		storms[i], routes[i] = row.StormID, row.RouteID
		switch {
		case row.RegainState == rows.RoadOpen:
			d.Unusable[i] = "window still open"
		case row.ResponseH == nil:
			d.Unusable[i] = rows.RoadNoReports
		case row.X == nil:
			d.Unusable[i] = "no pounds"
		default:
			d.Response[i], x[i] = math.Log1p(*row.ResponseH), *row.X
		}
	}
	d.Columns = []designColumn{{Name: Experience, Values: x}}
	d.Factors = []designFactor{{StormFactor, storms}, {RouteFactor, routes}}
	return d
}

// fitService fits regain times on experience and judges the change up to latestX.
func fitService(in *LearningInput, latestX float64) *serviceGuard {
	g := &serviceGuard{Fit: FitLearning(serviceDesign(in))}
	for _, row := range in.Service {
		if row.RegainState == rows.RoadOpen {
			continue
		}
		g.Treated++
		if row.RegainState == rows.RoadBare || row.RegainState == rows.RoadNotBare {
			g.Reported++
		}
		if row.RegainState == rows.RoadNotBare {
			g.NotBare++
		}
	}
	if g.Fit.IsFitted() && latestX > 0 {
		if change, ok := g.Fit.Estimate(g.Fit.Combination(map[string]float64{Experience: latestX})); ok {
			g.Change = &change
		}
	}
	g.Verdict = g.judge(in.ServiceMarginPct)
	return g
}

func (g *serviceGuard) judge(marginPct float64) string {
	switch {
	case g.Reported == 0:
		return rows.ServiceNoReports
	case g.Change == nil:
		return rows.ServiceNotShown
	case g.Change.Low > 0:
		return rows.ServiceSlower
	case PercentChange(g.Change.High) <= marginPct && g.notBareShare() <= notBareLimit && g.reportedShare() >= reportsAtLeast:
		return rows.ServiceHeld
	}
	return rows.ServiceNotShown
}

// notBareShare is the share of reported route-storms that stayed not bare; 0 without reports.
func (g *serviceGuard) notBareShare() float64 { return share(g.NotBare, g.Reported) }

// reportedShare is the share of treated route-storms with reports; 0 without any.
func (g *serviceGuard) reportedShare() float64 { return share(g.Reported, g.Treated) }

func share(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return float64(part) / float64(whole)
}
