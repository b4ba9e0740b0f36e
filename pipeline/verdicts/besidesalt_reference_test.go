package verdicts

import (
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

var updateReference = flag.Bool("update-reference", false, "write the inputs of testdata/reference that are drawn here anew")

const (
	besideReference = "../../testdata/reference"
	besideHeader    = "question,season,storm,zone,route,crew,acetate,date,x,w,y,air_f_mean,intensity,freezing,length_ulm"
)

// drawnWorlds are two districts: one as usual, one in which acetate answers the cold more steeply and few routes turned.
func drawnWorlds() []besideWorld {
	steep := standardWorld()
	steep.Routes, steep.Acetate, steep.Crews, steep.ColdPerF, steep.WarmerF, steep.Storms = 7, 2, 4, 0.012, 4, 14
	steep.SaltTrend, steep.StormClassSD = -0.03, 0.08
	return []besideWorld{standardWorld(), steep}
}

func (w besideWorld) csv(seed uint64) string {
	var b strings.Builder
	b.WriteString(besideHeader + "\n")
	number := func(value float64) string { return strconv.FormatFloat(value, 'g', -1, 64) }
	for i, question := range questions {
		for _, r := range w.rowsOf(question, seed+uint64(i)) {
			fmt.Fprintln(&b, strings.Join([]string{r.Question, r.Season, r.StormID, r.ZoneID, r.RouteID, r.CrewID,
				fmt.Sprint(1 - sideOf(r.IsAcetate)), r.StormDate.Format("2006-01-02"), number(*r.X), number(r.W), number(*r.Y),
				number(*r.AirF), number(*r.Intensity), number(*r.Freezing), fmt.Sprint(r.LengthUlm)}, ","))
		}
	}
	return b.String()
}

// readBeside reads rows of the four questions; an empty cell is missing.
func readBeside(t *testing.T, name string) map[string][]BesideSaltRow {
	t.Helper()
	file, err := os.Open(filepath.Join(besideReference, "data", "beside_"+name+".csv"))
	require.NoError(t, err)
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Equal(t, besideHeader, strings.Join(records[0], ","))
	byQuestion := map[string][]BesideSaltRow{}
	for _, record := range records[1:] {
		number := func(k int) *float64 {
			value, err := strconv.ParseFloat(record[k], 64)
			if record[k] == "" {
				return nil
			}
			require.NoError(t, err)
			return &value
		}
		row := BesideSaltRow{Question: record[0], Season: record[1], StormID: record[2], ZoneID: record[3], RouteID: record[4],
			CrewID: record[5], IsAcetate: record[6] == "1", X: number(8), W: *number(9), Y: number(10), AirF: number(11),
			Intensity: number(12), Freezing: number(13), LengthUlm: int64(*number(14))}
		byQuestion[row.Question] = append(byQuestion[row.Question], row)
	}
	return byQuestion
}

// TestDrawnInputsAreWhatRRead holds the drawn inputs against the generator, cell by cell.
func TestDrawnInputsAreWhatRRead(t *testing.T) {
	for i, world := range drawnWorlds() {
		path := filepath.Join(besideReference, "data", fmt.Sprintf("beside_drawn_%d.csv", i+1))
		text := world.csv(uint64(10 * (i + 1)))
		if *updateReference {
			require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), text, path)
	}
}

type besideEstimate struct{ Value, SE, DF float64 }

type besideFit struct {
	Rows                       int
	Criterion, Sigma           float64
	Coefficients, SD           map[string]float64
	Start, Season, Latest, Net besideEstimate
}

// Source: lme4 and lmerTest, testdata/reference/beside.R. Tolerances: criterion 1e-5 absolute, coefficients, contrasts and standard
// errors 1e-4, degrees of freedom 1 %, relative.
func TestQuestionsAgreeWithReference(t *testing.T) {
	bytes, err := os.ReadFile(filepath.Join(besideReference, "results", "beside.json"))
	require.NoError(t, err)
	var districts map[string]map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(bytes, &districts))
	require.Len(t, districts, 3)
	largest := map[string]float64{}
	for name, parts := range districts {
		given := readBeside(t, name)
		var latestX float64
		require.NoError(t, json.Unmarshal(parts["latest_x"], &latestX))
		assert.InEpsilon(t, latestX, latestRateX(given[rows.QuestionRate]), 1e-12)
		for _, question := range questions {
			t.Run(name+" "+question, func(t *testing.T) {
				var want besideFit
				require.NoError(t, json.Unmarshal(parts[question], &want))
				season := given[question][len(given[question])-1].Season
				q := fitQuestion(question, given[question], season, latestX, 12, 5)
				require.True(t, q.Fit.IsFitted(), q.Fit.Reason)
				compareQuestion(t, want, q, season, latestX, largest)
			})
		}
	}
	t.Logf("largest relative differences: %v", largest)
}

func compareQuestion(t *testing.T, want besideFit, q *questionFit, season string, latestX float64, largest map[string]float64) {
	t.Helper()
	near := func(kind string, want, got, share float64) {
		largest[kind] = math.Max(largest[kind], math.Abs(got/want-1))
		assert.InEpsilon(t, want, got, share, kind)
	}
	assert.Equal(t, want.Rows, q.Fit.Result.Rows)
	assert.InDelta(t, want.Criterion, q.Fit.Result.Criterion, 1e-5)
	require.Len(t, q.Fit.Columns, 1+len(want.Coefficients))
	for name, value := range want.Coefficients {
		near("coefficient", value, q.Fit.of(map[string]float64{name: 1}).Value, 1e-4)
	}
	for _, component := range q.Fit.Result.Components {
		assert.InDelta(t, want.SD[component.Name], component.SD, 1e-3*want.SD[component.Name]+1e-12, component.Name)
	}
	for _, one := range []struct {
		want    besideEstimate
		weights map[string]float64
		shown   *LearningEstimate
	}{{want.Start, map[string]float64{acetateColumn: 1}, q.Start}, {want.Season, q.seasonMeans(season), q.Season},
		{want.Latest, map[string]float64{acetateColumn: 1, acetateExpColumn: latestX}, q.Latest},
		{want.Net, map[string]float64{acetateExpColumn: 1}, q.Net}} {
		got := q.Fit.of(one.weights)
		near("contrast", one.want.Value, got.Value, 1e-4)
		near("standard error", one.want.SE, got.SE, 1e-4)
		near("degrees of freedom", one.want.DF, got.DF, 0.01)
		require.NotNil(t, one.shown)
		if one.shown != q.Net {
			assert.InDelta(t, got.Value+q.shift, one.shown.Value, 1e-12)
			assert.InDelta(t, math.Sqrt(got.SE*got.SE+q.more), one.shown.SE, 1e-12)
		}
	}
}
