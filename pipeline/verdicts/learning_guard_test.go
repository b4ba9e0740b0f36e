package verdicts

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// logInterval is an estimate on the scale of the logarithm with the ends given on the scale of the ratio.
func logInterval(low, high float64) *LearningEstimate {
	return &LearningEstimate{Estimate: stats.Estimate{Value: math.Log(low*high) / 2, Low: math.Log(low), High: math.Log(high)}}
}

// The band of 1.25 to 1.50 times the salt rate. Common practice.
func TestJudgeStartAgainstTheUsualBand(t *testing.T) {
	for _, one := range []struct {
		start *LearningEstimate
		want  string
	}{{nil, rows.NotYetKnown}, {logInterval(1.26, 1.49), rows.StartWithin}, {logInterval(1.51, 1.7), rows.StartAbove},
		{logInterval(1.0, 1.24), rows.StartBelow},
		{logInterval(1.2, 1.4), rows.NotYetKnown}, {logInterval(1.4, 1.6), rows.NotYetKnown}, {logInterval(1.1, 1.8), rows.NotYetKnown}} {
		assert.Equal(t, one.want, judgeStart(one.start), "%+v", one.start)
	}
}

func TestJudgeControl(t *testing.T) {
	for _, one := range []struct {
		net, salt *LearningEstimate
		want      string
	}{{nil, nil, rows.ControlNone}, {logInterval(0.90, 0.99), logInterval(0.9, 0.99), rows.ControlBeyond},
		{logInterval(0.95, 1.02), logInterval(0.9, 0.99), rows.ControlNoMore},
		{logInterval(0.95, 1.02), logInterval(0.9, 1.01), rows.ControlNotKnown}, {logInterval(0.95, 1.02), nil, rows.ControlNotKnown},
		{logInterval(1.01, 1.02), logInterval(0.9, 0.99), rows.ControlNotKnown}} {
		assert.Equal(t, one.want, judgeControl(one.net, one.salt))
	}
}

// besideRows gives acetate routes and salt routes of as many crews as there are pairs of routes, in storms without a pattern.
func besideRows(acetateRoutes, saltRoutes, storms int) *LearningInput {
	in := &LearningInput{Compare: "acetate", Beside: "chloride", MinRows: 12, MinStorms: 5}
	for storm := range storms {
		for route := range acetateRoutes + saltRoutes {
			air, intensity, freezing := 20+math.Mod(float64(storm*storm*5), 13), 0.02*float64(1+(storm*3)%5), float64((storm/2)%2)
			wobble := 0.03 * math.Sin(float64(7*storm*storm+29*route+5*storm*route))
			row := BesideSaltRow{StormID: fmt.Sprintf("s%02d", storm), CrewID: "c0", RouteID: fmt.Sprintf("r%d", route),
				MaterialClass: "chloride",
				W:             math.Log2(1 + float64(storm)), Rate: 260 * math.Exp(wobble), AirF: &air, Intensity: &intensity,
				Freezing: &freezing}
			if route < acetateRoutes {
				row.MaterialClass, row.X = "acetate", row.W
				row.Rate *= 1.42 * math.Exp(-0.06*row.X)
			}
			in.BesideSalt = append(in.BesideSalt, row)
		}
	}
	return in
}

func TestBesideSaltOutcomes(t *testing.T) {
	s := fitBesideSalt(besideRows(3, 3, 12), 3)
	require.True(t, s.Fit.IsFitted(), s.Fit.Reason)
	assert.Equal(t, []string{rows.StartWithin, rows.ControlBeyond}, []string{s.StartVerdict, s.ControlVerdict})

	for name, in := range map[string]*LearningInput{"no salt": besideRows(3, 0, 12), "no acetate": besideRows(0, 3, 12),
		"4 storms": besideRows(3, 3, 4),
		"nothing":  {MinRows: 12, MinStorms: 5}} {
		s := fitBesideSalt(in, 3)
		assert.Equal(t, []string{rows.NotYetKnown, rows.ControlNone}, []string{s.StartVerdict, s.ControlVerdict}, name)
		assert.Nil(t, s.Start, name)
	}
}

// TestOneRouteEach: with one route of each material, road and material cannot be told apart, and no starting ratio is given; the
// change beyond salt's own still is.
func TestOneRouteEachGivesNoStartingRatio(t *testing.T) {
	s := fitBesideSalt(besideRows(1, 1, 14), 3)
	require.True(t, s.Fit.IsFitted(), s.Fit.Reason)
	assert.Contains(t, s.Fit.Dropped, RouteFactor)
	assert.Nil(t, s.Start)
	assert.Nil(t, s.Latest)
	assert.Equal(t, rows.NotYetKnown, s.StartVerdict)
	require.NotNil(t, s.Net)
	assert.Equal(t, rows.ControlBeyond, s.ControlVerdict)
}

// serviceGiven: routes x storms with regain times that change by perX of ln(1 + hours) per x.
func serviceGiven(routes, storms int, perX float64) *LearningInput {
	in := &LearningInput{Compare: "acetate", Beside: "chloride", MinRows: 12, MinStorms: 5, ServiceMarginPct: 10}
	for storm := range storms {
		for route := range routes {
			air, intensity, freezing := 20+math.Mod(float64(storm*storm*5), 13), 0.02*float64(1+(storm*3)%5), float64((storm/2)%2)
			x := math.Log2(1 + float64(storm+route%3))
			hours := math.Expm1(1.5 + perX*x + 0.03*math.Sin(float64(7*storm*storm+29*route+5*storm*route)))
			in.Service = append(in.Service, ServiceRow{StormID: fmt.Sprintf("s%02d", storm), RouteID: fmt.Sprintf("r%d", route),
				RegainState: rows.RoadBare,
				ResponseH:   &hours, X: &x, AirF: &air, Intensity: &intensity, Freezing: &freezing})
		}
	}
	return in
}

// restate gives every nth route-storm another regain state, with the response that goes with it.
func restate(in *LearningInput, n int, state string) *LearningInput {
	for i := range in.Service {
		if i%n != 0 {
			continue
		}
		row := &in.Service[i]
		row.RegainState, row.IsNotBare = state, state == rows.RoadNotBare
		if state != rows.RoadNotBare {
			row.ResponseH = nil
		}
	}
	return in
}

func TestServiceOutcomes(t *testing.T) {
	withoutPounds := serviceGiven(6, 12, 0)
	for i := range withoutPounds.Service {
		withoutPounds.Service[i].X = nil
	}
	for _, one := range []struct {
		name string
		in   *LearningInput
		want string
		rows int
	}{
		{"nothing", &LearningInput{Compare: "acetate", Beside: "chloride", MinRows: 12, MinStorms: 5}, rows.ServiceNoReports, 0},
		{"held", serviceGiven(6, 12, 0), rows.ServiceHeld, 72},
		{"slower", serviceGiven(6, 12, 0.1), rows.ServiceSlower, 72},
		{"quicker", serviceGiven(6, 12, -0.1), rows.ServiceHeld, 72},
		{"4 storms", serviceGiven(6, 4, 0), rows.ServiceNotShown, 24},
		{"1 in 10 not bare", restate(serviceGiven(6, 10, 0), 10, rows.RoadNotBare), rows.ServiceHeld, 60},
		{"1 in 8 not bare", restate(serviceGiven(6, 12, 0), 8, rows.RoadNotBare), rows.ServiceNotShown, 72},
		{"1 in 5 without reports", restate(serviceGiven(5, 12, 0), 5, rows.RoadNoReports), rows.ServiceHeld, 48},
		{"1 in 4 without reports", restate(serviceGiven(6, 12, 0), 4, rows.RoadNoReports), rows.ServiceNotShown, 54},
		{"1 in 4 still open", restate(serviceGiven(6, 12, 0), 4, rows.RoadOpen), rows.ServiceHeld, 54},
		{"no reports", restate(serviceGiven(6, 12, 0), 1, rows.RoadNoReports), rows.ServiceNoReports, 0},
		{"no pounds", withoutPounds, rows.ServiceNotShown, 0},
	} {
		t.Run(one.name, func(t *testing.T) {
			g := fitService(one.in, 3)
			assert.Equal(t, one.want, g.Verdict, "change %+v", g.Change)
			assert.Len(t, g.Fit.Choice.Rows, one.rows)
		})
	}
}
