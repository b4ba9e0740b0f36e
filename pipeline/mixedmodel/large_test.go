package mixedmodel_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/mixedmodel"
)

// invented is a crossed data set from a seed, with known standard deviations: storm 0.12, route 0.08, crew 0.10, slope 0.03,
// residual 0.15; start 380, slope -0.05.
func invented(seed uint64, rows, storms, routes, crews int) mixedmodel.Model {
	random := rand.New(rand.NewPCG(seed, 1))
	draw := func(count int, sd float64) []float64 {
		values := make([]float64, count)
		for i := range values {
			values[i] = sd * random.NormFloat64()
		}
		return values
	}
	storm, route, crew, slope := draw(storms, 0.12), draw(routes, 0.08), draw(crews, 0.10), draw(crews, 0.03)
	air := draw(storms, 6)
	columns := map[string][]float64{}
	for i := range rows {
		// The first rows go through every level once, so that each has a row.
		s, r, c := i%storms, i%routes, i%crews
		if i >= max(storms, routes, crews) {
			s, r, c = random.IntN(storms), random.IntN(routes), random.IntN(crews)
		}
		x := math.Log2(1 + float64(s*30/storms))
		rate := math.Log(380) - 0.05*x - 0.006*air[s] + storm[s] + route[r] + crew[c] + slope[c]*x + 0.15*random.NormFloat64()
		for name, value := range map[string]float64{"ln_rate": rate, "x": x, "air": air[s], "storm": float64(s), "route": float64(r),
			"crew": float64(c)} {
			columns[name] = append(columns[name], value)
		}
	}
	return model(columns, "ln_rate", []string{"x", "air"}, []string{"storm", "route", "crew"}, "x")
}

// The size that the learning fit must bear: 20,000 rows, 300 storms, 400 routes, 200 crews, under a minute.
func TestLargeFitIsFastAndFindsTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	begun := time.Now()
	got, err := mixedmodel.Fit(invented(20, 20000, 300, 400, 200))
	require.NoError(t, err)
	took := time.Since(begun)
	assert.Less(t, took, time.Minute)
	t.Logf("%v", took)
	for k, sd := range []float64{0.12, 0.08, 0.10, 0.03} {
		assert.InEpsilon(t, sd, got.Components[k].SD, 0.2, got.Components[k].Name)
	}
	assert.InEpsilon(t, 0.15, got.Sigma, 0.02)
	assert.InDelta(t, -0.05, got.Fixed[1], 3*got.FixedSE[1])
}

func BenchmarkFit20000Rows(b *testing.B) {
	m := invented(20, 20000, 300, 400, 200)
	for b.Loop() {
		_, err := mixedmodel.Fit(m)
		require.NoError(b, err)
	}
}
