package verdicts

import (
	"fmt"
	"math"
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/rows"
)

// maybe draws a number or, in about one case of five, nothing.
func maybe(t *rapid.T, label string, low, high float64) *float64 {
	if rapid.IntRange(0, 4).Draw(t, label+" present") == 0 {
		return nil
	}
	value := rapid.Float64Range(low, high).Draw(t, label)
	return &value
}

// drawnInput is anything that the queries could give, however little or odd: few storms, crews and routes, covariates missing or
// all alike, equal rates, rates far apart.
func drawnInput(t *rapid.T) *LearningInput {
	in := &LearningInput{Compare: "acetate", Beside: "chloride", MinRows: rapid.IntRange(3, 12).Draw(t, "min rows"),
		MinStorms: rapid.IntRange(2, 5).Draw(t, "min storms"), ServiceMarginPct: 10,
		Orders: []rows.Order{{FromDate: time.Date(2029, 11, 20, 0, 0, 0, 0, time.UTC)}}}
	for i := range rapid.IntRange(0, 40).Draw(t, "rows") {
		storm := rapid.IntRange(0, 8).Draw(t, "storm")
		row := LearningRow{Season: "2029-30", StormID: fmt.Sprint("s", storm),
			CrewID:  fmt.Sprint("c", rapid.IntRange(0, 3).Draw(t, "crew")),
			RouteID: fmt.Sprint("r", i), StormDate: time.Date(2029, 11, 5+3*storm, 0, 0, 0, 0, time.UTC),
			PriorStorms: int64(rapid.IntRange(0, 30).Draw(t, "prior")),
			Rate:        rapid.SampledFrom([]float64{1e-3, 100, 250, 250, 251, 1e6}).Draw(t, "rate"), AirF: maybe(t, "air", -40, 40),
			Intensity: maybe(t, "intensity", 0, 3),
			Freezing:  maybe(t, "freezing", 0, 1)}
		row.X = math.Log2(1 + float64(row.PriorStorms))
		if rapid.Bool().Draw(t, "few routes") {
			row.RouteID = fmt.Sprint("r", i%2)
		}
		in.Rows = append(in.Rows, row)
		in.BesideSalt = append(in.BesideSalt, BesideSaltRow{StormID: row.StormID, CrewID: row.CrewID, RouteID: row.RouteID,
			MaterialClass: rapid.SampledFrom([]string{"acetate", "chloride"}).Draw(t, "class"), X: row.X, W: math.Log2(1 + float64(storm)),
			Rate: row.Rate,
			AirF: row.AirF, Intensity: row.Intensity, Freezing: row.Freezing})
		in.Service = append(in.Service, ServiceRow{StormID: row.StormID, RouteID: row.RouteID, ResponseH: maybe(t, "regain", 0, 48),
			X:           &row.X,
			RegainState: rapid.SampledFrom([]string{rows.RoadBare, rows.RoadNotBare, rows.RoadOpen, rows.RoadNoReports}).Draw(t, "state"),
			AirF:        row.AirF, Intensity: row.Intensity,
			Freezing: row.Freezing})
	}
	return in
}

// TestLearningNeverGivesANumberThatIsNone: whatever comes in, no panic, and every number of every table is finite.
func TestLearningNeverGivesANumberThatIsNone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawnInput(t)
		out := JudgeLearning(in)
		fits := []namedFit{{"curve", out.Curve.Fit}, {"beside salt", out.BesideSalt.Fit}, {"service", out.Service.Fit}}
		for _, table := range []any{LearningRowsOf(out), curvePoints(out), curveResiduals(out.Curve), orderRows(out.Curve),
			[]rows.LearningService{serviceRowOf(out.Service)}, fitRows(fits), leftOutRows(in, fits)} {
			rows := reflect.ValueOf(table)
			for i := range rows.Len() {
				for j := range rows.Index(i).NumField() {
					requireFinite(t, rows.Index(i).Type().Field(j).Name, rows.Index(i).Field(j))
				}
			}
		}
		for _, one := range fits {
			left := 0
			for _, reason := range one.fit.Choice.LeftOut {
				left += reason.Rows
			}
			if one.name != "beside salt" || one.fit.Choice.Rows != nil {
				require.Equal(t, one.fit.Given, left+len(one.fit.Choice.Rows), one.name)
			}
		}
	})
}

func requireFinite(t *rapid.T, name string, value reflect.Value) {
	if value.Kind() == reflect.Pointer {
		if value.IsNil() {
			return
		}
		value = value.Elem()
	}
	if value.Kind() == reflect.Float64 {
		require.False(t, math.IsNaN(value.Float()) || math.IsInf(value.Float(), 0), "%s is %v", name, value.Float())
	}
}
