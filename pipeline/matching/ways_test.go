package matching

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLengthsHoldWhatAMapHolds(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	var w lengths
	_, known := w.get(0, 1)
	require.False(t, known, "nothing is in it yet")
	want := map[[2]int32]float64{}
	for range 20_000 {
		from, to := random.Int32N(300), random.Int32N(300)
		if from != to {
			want[[2]int32{from, to}] = random.Float64()
			w.put(from, to, want[[2]int32{from, to}])
		}
	}
	require.Equal(t, len(want), w.count)
	for from := range int32(300) {
		for to := range int32(300) {
			distM, isIn := want[[2]int32{from, to}]
			if from == to {
				continue
			}
			got, known := w.get(from, to)
			require.Equal(t, isIn, known)
			if isIn {
				require.InDelta(t, distM, got, 0)
			}
		}
	}
}

// Looking no further than the cheapest way along the route must not change which sequence is likeliest.
func TestSparedWaysChangeNoPlace(t *testing.T) {
	n := testNetwork(t)
	random := rand.New(rand.NewPCG(5, 6))
	for _, legs := range testDrives(n, 14) {
		fixes, _ := drive(n, legs, 10, 25, random)
		require.Equal(t, placesOf(n, fixes, n.settings.changeCost), placesOf(n, fixes, -1e9))
	}
}

// placesOf matches fixes where a change of road costs no less than changeCost: the less, the fewer ways are spared.
func placesOf(n *Network, fixes []Fix, changeCost float64) (places []Place) {
	settings := n.settings
	settings.changeCost = changeCost
	m := NewMatcher(n, func(_ int, place Place) { places = append(places, place) })
	m.settings = &settings
	for _, fix := range fixes {
		m.Add(fix)
	}
	m.Flush()
	return places
}
