package pipeline

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/scenario"
	"lanetally/pipeline/verdicts"
)

// demoReferenceSeeds are the seeds of the demo districts whose learning_rows R fits too, testdata/reference/data/demo_N.csv.
var demoReferenceSeeds = []uint64{scenario.DefaultSeed, 1, 2}

// demoReferenceTable is what the curve's fit reads, in the columns of testdata/reference/mixed.R: storms, routes and crews numbered
// from 0 in the order of their first rows.
func demoReferenceTable(rows []verdicts.LearningRow) string {
	numbers := map[string]int{}
	counts := map[string]int{}
	number := func(factor, label string) int {
		key := factor + " " + label
		if _, known := numbers[key]; !known {
			numbers[key] = counts[factor]
			counts[factor]++
		}
		return numbers[key]
	}
	return referenceTable("ln_rate,x,air,intensity,freezing,storm,route,crew", len(rows), func(i int) []any {
		r := rows[i]
		return []any{math.Log(r.Rate), r.X, *r.AirF, *r.Intensity, *r.Freezing,
			number(verdicts.StormFactor, r.StormID), number(verdicts.RouteFactor, r.RouteID), number(verdicts.CrewFactor, r.CrewID)}
	})
}

// demoInputOfSeed gives what the learning fits read after a night over the demo district of a seed.
func demoInputOfSeed(t *testing.T, seed uint64) *verdicts.LearningInput {
	t.Helper()
	d := demoNight{dir: filepath.Join(t.TempDir(), "demo")}
	if seed == scenario.DefaultSeed {
		d = runDemoNight(t)
	} else {
		_, err := scenario.Write(d.dir, scenario.Options{Seed: seed})
		require.NoError(t, err)
		now, err := time.Parse(time.RFC3339, demoNow)
		require.NoError(t, err)
		_, err = Nightly(context.Background(), NightlyOptions{Dir: d.dir, Now: now, Words: io.Discard})
		require.NoError(t, err)
	}
	settings, err := district.ReadSettings(filepath.Join(d.dir, "district.toml"))
	require.NoError(t, err)
	in, err := verdicts.ReadLearning(t.Context(), d.ledger(t), settings)
	require.NoError(t, err)
	return in
}

// TestReferenceInputsFromDemo holds the data sets that R fits against the rows that the night fits, cell by cell, and the night's curve
// against R's. pipeline/mixedmodel compares every number of the same fits. The seeds beside the default one take a night each: with
// -update-reference or LANETALLY_SIMULATE.
func TestReferenceInputsFromDemo(t *testing.T) {
	for i, seed := range demoReferenceSeeds {
		t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) {
			if seed != scenario.DefaultSeed && !*updateReference && os.Getenv("LANETALLY_SIMULATE") == "" {
				t.Skip("needs -update-reference or LANETALLY_SIMULATE")
			}
			in := demoInputOfSeed(t, seed)
			curve := verdicts.FitCurve(in)
			text := demoReferenceTable(curve.Rows)
			path := filepath.Join(learningReference, "data", fmt.Sprintf("demo_%d.csv", i+1))
			if *updateReference {
				require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, string(want), text)
			compareDemoCurve(t, fmt.Sprintf("demo_%d", i+1), curve)
		})
	}
}

// demoBesideTable is what the four questions are fitted on, of the zones where acetate has rows.
func demoBesideTable(given []verdicts.BesideSaltRow) string {
	hasAcetate := map[string]bool{}
	for _, r := range given {
		hasAcetate[r.Question+r.ZoneID] = hasAcetate[r.Question+r.ZoneID] || r.IsAcetate
	}
	given = slices.DeleteFunc(given, func(r verdicts.BesideSaltRow) bool { return !hasAcetate[r.Question+r.ZoneID] })
	cell := func(value *float64) any {
		if value == nil {
			return ""
		}
		return *value
	}
	return referenceTable("question,season,storm,zone,route,crew,acetate,date,x,w,y,air_f_mean,intensity,freezing,length_ulm", len(given),
		func(i int) []any {
			r := given[i]
			acetate := 0
			if r.IsAcetate {
				acetate = 1
			}
			date := r.StormDate.Format(time.DateOnly)
			return []any{r.Question, r.Season, r.StormID, r.ZoneID, r.RouteID, r.CrewID, acetate, date, cell(r.X), r.W,
				cell(r.Y), cell(r.AirF), cell(r.Intensity), cell(r.Freezing), r.LengthUlm}
		})
}

// TestBesideInputsFromDemo holds the rows that R answers the four questions from against those of the night, cell by cell;
// pipeline/verdicts compares the answers.
func TestBesideInputsFromDemo(t *testing.T) {
	given, err := ledger.ReadTable[verdicts.BesideSaltRow](t.Context(), runDemoNight(t).ledger(t),
		"select * from beside_salt_rows order by question, storm_date, storm_id, route_id, crew_id, is_acetate")
	require.NoError(t, err)
	text, path := demoBesideTable(given), filepath.Join(learningReference, "data", "beside_demo.csv")
	if *updateReference {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), text)
}

// compareDemoCurve: the same tolerances as the learning fits of invented districts; centred covariates leave the criterion and x alone.
// Source: lme4 and lmerTest, testdata/reference/mixed.R.
func compareDemoCurve(t *testing.T, name string, curve *verdicts.LearningCurve) {
	t.Helper()
	bytes, err := os.ReadFile(filepath.Join(learningReference, "results", "mixed.json"))
	require.NoError(t, err)
	var references map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(bytes, &references))
	var want struct {
		referenceFit
		Fixed, DF []float64
		FixedSE   []float64 `json:"fixed_se"`
	}
	require.NoError(t, json.Unmarshal(references[name], &want))
	compareLearningFit(t, want.referenceFit, curve.Fit)
	compareEstimate(t, "change", referenceEstimate{Value: want.Fixed[1], SE: want.FixedSE[1], DF: want.DF[1]}, curve.Change)
}
