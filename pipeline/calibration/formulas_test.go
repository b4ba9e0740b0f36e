package calibration

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Worked examples. Source: Minnesota field handbook for snowplow operators: at 20 mph a mile takes 3 minutes, and 200 lb/min lay 600 lb on
// it.
func TestHandbookExample(t *testing.T) {
	assert.Equal(t, 3.0, MinPerMile(20))
	assert.Equal(t, 600.0, LbPerMile(200, 20))
}

// The handbook's formulas on figures of our own: 7 lb a turn at 30 turns a minute are 210 lb/min; at 25 mph a mile takes 2.4 min, so 504
// lb/mile, over two lanes 252 lb/lane-mile. Computed.
func TestChainOfFormulas(t *testing.T) {
	perMin := LbPerMin(7, 30)
	assert.Equal(t, 210.0, perMin)
	assert.InDelta(t, 504, LbPerMile(perMin, 25), 1e-9)
	assert.InDelta(t, 252, LbPerLaneMi(LbPerMile(perMin, 25), 2), 1e-9)
	assert.InDelta(t, 210, LbPerMinFor(252, 2, 25), 1e-9)
}

// The factor 2 between pounds per two-lane mile and per lane-mile is the commonest error: the handbook halves a two-lane rate for one lane.
func TestTwoLanesHalve(t *testing.T) {
	assert.Equal(t, 300.0, LbPerLaneMi(600, 2))
}

// Bulk densities 44 (acetate pellets) and 70 lb/ft3 (rock salt): a spreader set for salt throws acetate at 0.63, the reverse 1.59. Common
// practice.
func TestByDensity(t *testing.T) {
	assert.InDelta(t, 0.629, ByDensity(1, 70, 44), 5e-4)
	assert.InDelta(t, 1.591, ByDensity(1, 44, 70), 5e-4)
}

// A rate turned into pounds per minute and back is the rate.
func TestFormulasInvert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(1, 2000).Draw(t, "rate")
		lanes := rapid.Float64Range(0.5, 4).Draw(t, "lanes")
		speed := rapid.Float64Range(5, 60).Draw(t, "speed")
		assert.InEpsilon(t, rate, LbPerLaneMi(LbPerMile(LbPerMinFor(rate, lanes, speed), speed), lanes), 1e-12)
	})
}

func TestMeanAndSpread(t *testing.T) {
	assert.Equal(t, 20.0, mean([]float64{18, 20, 22}))
	assert.Equal(t, 0.2, spread([]float64{18, 20, 22}))
	assert.Zero(t, spread([]float64{7}))
}
