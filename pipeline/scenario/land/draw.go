package land

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"time"
)

// Draw is one stream of chance. Each purpose has its own stream, so that a change in one part of the district leaves
// the others as they were.
type Draw struct{ *rand.Rand }

// NewDraw is the stream of a purpose, the same for a seed.
func NewDraw(seed uint64, purpose string) Draw {
	name := fnv.New64a()
	_, _ = name.Write([]byte(purpose))
	return Draw{rand.New(rand.NewPCG(seed, name.Sum64()))} // #nosec G404 -- invented data, the same for a seed
}

// Between is uniform in [low, high).
func (d Draw) Between(low, high float64) float64 { return low + (high-low)*d.Float64() }

// Normal is normally distributed, with a mean and a standard deviation.
func (d Draw) Normal(mean, sd float64) float64 { return mean + sd*d.NormFloat64() }

// Chance is true in a share of draws, between 0 and 1.
func (d Draw) Chance(share float64) bool { return d.Float64() < share }

// Clamp keeps x in [low, high].
func Clamp(x, low, high float64) float64 { return max(low, min(high, x)) }

// Round keeps so many decimals.
func Round(x float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round(x*scale) / scale
}

// Centre moves the values of each group so that their mean is 0.
func Centre(values []float64, groupOf func(i int) int) {
	sums, count := map[int]float64{}, map[int]float64{}
	for i, v := range values {
		sums[groupOf(i)] += v
		count[groupOf(i)]++
	}
	for i := range values {
		values[i] -= sums[groupOf(i)] / count[groupOf(i)]
	}
}

// Minutes is a length of m minutes, rounded to a second.
func Minutes(m float64) time.Duration {
	return time.Duration(m * float64(time.Minute)).Round(time.Second)
}
