package verdicts

import (
	"fmt"
	"math"
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/district"
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
		MinStorms: rapid.IntRange(2, 5).Draw(t, "min storms"),
		Orders:    []rows.Order{{FromDate: time.Date(2029, 11, 20, 0, 0, 0, 0, time.UTC)}}}
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
	}
	return in
}

// drawnSeasons is anything that the rows beside salt could be.
func drawnSeasons(t *rapid.T) *SeasonsInput {
	in := &SeasonsInput{Settings: district.DefaultSettings(), Closed: []closedStorms{{"2029-30", 4}, {"2030-31", 2}},
		AsOfSeason: rapid.SampledFrom([]string{"2029-30", "2031-32"}).Draw(t, "as of"),
		Orders:     []rows.Order{{FromDate: time.Date(2029, 11, 20, 0, 0, 0, 0, time.UTC)}}}
	in.Settings.LearningMinRows, in.Settings.LearningMinStorms, in.Settings.CompareMinStorms = 3, 2, 2
	for i := range rapid.IntRange(0, 60).Draw(t, "rows") {
		storm := rapid.IntRange(0, 8).Draw(t, "storm")
		row := BesideSaltRow{Question: rapid.SampledFrom(questions).Draw(t, "question"), Season: []string{"2029-30", "2030-31"}[storm/5],
			StormID: fmt.Sprint("s", storm), ZoneID: "z", RouteID: fmt.Sprint("r", i%5),
			CrewID: fmt.Sprint("c", rapid.IntRange(0, 3).Draw(t, "crew")), IsAcetate: rapid.Bool().Draw(t, "acetate"),
			StormDate: time.Date(2029, 11, 5+3*storm, 0, 0, 0, 0, time.UTC), W: math.Log2(1 + float64(storm)),
			Y:    rapid.SampledFrom([]*float64{nil, new(0.0), new(1e-3), new(250.0), new(251.0), new(1e6)}).Draw(t, "y"),
			X:    maybe(t, "x", 0, 6),
			AirF: maybe(t, "air", -40, 40), Intensity: maybe(t, "intensity", 0, 3), Freezing: maybe(t, "freezing", 0, 1), LengthUlm: 7e6}
		if row.Question == rows.QuestionHours {
			row.IsBareInCap = rapid.SampledFrom([]*bool{nil, new(true), new(false)}).Draw(t, "bare")
		}
		in.Rows = append(in.Rows, row)
	}
	return in
}

// TestLearningNeverGivesANumberThatIsNone: whatever comes in, no panic, and every number of every table is finite.
func TestLearningNeverGivesANumberThatIsNone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawnInput(t)
		out := JudgeLearning(in)
		out.Seasons = JudgeSeasons(drawnSeasons(t))
		fits := []namedFit{{"curve", out.Curve.Fit}}
		tables := []any{LearningRowsOf(out), curvePoints(out), curveResiduals(out.Curve), orderRows(out.Curve), fitRows(fits),
			leftOutRows(in, fits)}
		for _, season := range out.Seasons {
			tables = append(tables, season.Claims, season.besideSaltRows(), []rows.SeasonVerdicts{season.Verdicts})
			for _, question := range questions {
				fits = append(fits, namedFit{question, season.Fits[question].Fit})
			}
		}
		for _, table := range tables {
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
			require.Equal(t, one.fit.Given, left+len(one.fit.Choice.Rows), one.name)
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
