package pipeline

import (
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

	"lanetally/pipeline/verdicts"
)

var updateReference = flag.Bool("update-reference", false, "write the inputs of testdata/reference and the table of simulations anew")

const learningReference = "../testdata/reference"

// referenceDistricts are three invented districts: a standard one, a small one without slopes of crews, and one whose salt rates
// fall too.
func referenceDistricts() []inventedDistrict {
	small := standardDistrict()
	small.Crews, small.Storms, small.AcetateRoutes, small.SaltRoutes, small.SlopeSD = 4, 14, 6, 4, 0
	falling := standardDistrict()
	falling.Storms, falling.SaltTrend, falling.SlopeSD = 40, -0.05, 0.03
	return []inventedDistrict{standardDistrict(), small, falling}
}

// referenceTable writes numbers with 17 digits: what R reads is what Go fitted.
func referenceTable(header string, rows int, cells func(i int) []any) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range rows {
		parts := make([]string, 0, 10)
		for _, cell := range cells(i) {
			if number, isNumber := cell.(float64); isNumber {
				parts = append(parts, strconv.FormatFloat(number, 'g', -1, 64))
				continue
			}
			parts = append(parts, fmt.Sprint(cell))
		}
		b.WriteString(strings.Join(parts, ",") + "\n")
	}
	return b.String()
}

func referenceInputs(number int, in *verdicts.LearningInput) map[string]string {
	const weather = ",air_f_mean,intensity,freezing"
	return map[string]string{
		fmt.Sprintf("learning_curve_%d.csv", number): referenceTable("ln_rate,x,storm,crew,route"+weather, len(in.Rows), func(i int) []any {
			r := in.Rows[i]
			return []any{math.Log(r.Rate), r.X, r.StormID, r.CrewID, r.RouteID, *r.AirF, *r.Intensity, *r.Freezing}
		}),
	}
}

// TestReferenceInputsAreWhatIsFitted holds the inputs that R read against the generator, cell by cell.
func TestReferenceInputsAreWhatIsFitted(t *testing.T) {
	for i, district := range referenceDistricts() {
		for name, text := range referenceInputs(i+1, district.invent(uint64(i+1))) {
			path := filepath.Join(learningReference, "data", name)
			if *updateReference {
				require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, string(want), text, name)
		}
	}
}

type referenceEstimate struct{ Value, SE, DF float64 }

type referenceFit struct {
	Criterion, Sigma float64
	SD               map[string]float64
	Start            referenceEstimate
	Change           referenceEstimate
	Latest           referenceEstimate
	Crews            []struct {
		Crew          string
		Start, Change referenceEstimate
	}
}

type referenceDistrict struct {
	LatestX float64 `json:"latest_x"`
	Curve   referenceFit
}

// Source: lme4 and lmerTest, testdata/reference/learning.R. Tolerances: criterion 1e-6 absolute, estimates and standard errors
// 1e-6, standard deviations 1e-3, degrees of freedom 1 %, relative.
func TestLearningAgreesWithReference(t *testing.T) {
	bytes, err := os.ReadFile(filepath.Join(learningReference, "results", "learning.json"))
	require.NoError(t, err)
	var references map[string]referenceDistrict
	require.NoError(t, json.Unmarshal(bytes, &references))
	require.Len(t, references, len(referenceDistricts()))
	for i, district := range referenceDistricts() {
		t.Run(fmt.Sprintf("district %d", i+1), func(t *testing.T) {
			want := references[fmt.Sprintf("district_%d", i+1)]
			out := verdicts.JudgeLearning(district.invent(uint64(i + 1)))
			assert.InEpsilon(t, want.LatestX, out.Curve.LatestX, 1e-12)
			compareLearningFit(t, want.Curve, out.Curve.Fit)
			compareEstimate(t, "start", want.Curve.Start, out.Curve.Start)
			compareEstimate(t, "change", want.Curve.Change, out.Curve.Change)
			compareEstimate(t, "latest", want.Curve.Latest, out.Curve.Latest)
			compareCrews(t, want.Curve, out.Crews)
		})
	}
}

func compareLearningFit(t *testing.T, want referenceFit, got *verdicts.LearningFit) {
	t.Helper()
	require.True(t, got.IsFitted(), got.Reason)
	assert.InDelta(t, want.Criterion, got.Result.Criterion, 1e-6)
	assert.InEpsilon(t, want.Sigma, got.Result.Sigma, 1e-3)
	require.Len(t, got.Result.Components, len(want.SD))
	for name, sd := range want.SD {
		found := got.Sd(name)
		require.NotNil(t, found, name)
		assert.InDelta(t, sd, *found, 1e-3*sd+1e-12, name)
	}
}

func compareEstimate(t *testing.T, name string, want referenceEstimate, got *verdicts.LearningEstimate) {
	t.Helper()
	require.NotNil(t, got, name)
	assert.InEpsilon(t, want.Value, got.Value, 1e-6, name)
	assert.InEpsilon(t, want.SE, got.SE, 1e-6, "%s: standard error", name)
	if want.DF != 0 {
		assert.InEpsilon(t, want.DF, got.DF, 0.01, "%s: degrees of freedom", name)
	}
}

// compareCrews: the crews' values and prediction errors; their degrees of freedom are held against R in pipeline/mixedmodel.
func compareCrews(t *testing.T, want referenceFit, got []verdicts.CrewCurve) {
	t.Helper()
	require.Len(t, got, len(want.Crews))
	for i, crew := range want.Crews {
		assert.Equal(t, crew.Crew, got[i].CrewID)
		compareEstimate(t, crew.Crew+" start", crew.Start, got[i].Start)
		compareEstimate(t, crew.Crew+" change", crew.Change, got[i].Change)
	}
}
