package scenario

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// draw is one stream of chance. Each purpose has its own stream, so that a change in one part of the district leaves
// the others as they were.
type draw struct{ *rand.Rand }

func newDraw(seed uint64, purpose string) draw {
	name := fnv.New64a()
	_, _ = name.Write([]byte(purpose))
	return draw{rand.New(rand.NewPCG(seed, name.Sum64()))} // #nosec G404 -- invented data, the same for a seed
}

// between is uniform in [low, high).
func (d draw) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

func (d draw) normal(mean, sd float64) float64 { return mean + sd*d.NormFloat64() }

func (d draw) chance(share float64) bool { return d.Float64() < share }

// clamp keeps x in [low, high].
func clamp(x, low, high float64) float64 { return max(low, min(high, x)) }

// round keeps so many decimals.
func round(x float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round(x*scale) / scale
}

// centre moves the values so that their mean is 0.
func centre(values []float64) {
	var sum float64
	for _, v := range values {
		sum += v
	}
	for i := range values {
		values[i] -= sum / float64(len(values))
	}
}
