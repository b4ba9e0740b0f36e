package scenario

import (
	"math"
	"testing"
	"time"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
	"lanetally/pipeline/scenario/land"
)

func inventHarbor(t *testing.T) *district {
	t.Helper()
	place, err := time.LoadLocation(land.TimeZone)
	require.NoError(t, err)
	s, err := invent(Options{Seed: DefaultSeed}, place)
	require.NoError(t, err)
	return s
}

func harborNetwork(t *testing.T) *matching.Network {
	t.Helper()
	var lines []matching.Route
	for i, r := range land.HarborRoutes {
		line := matching.Route{ID: r.ID, FromMi: r.FromMi, ToMi: r.ToMi}
		for _, c := range land.HarborRoads[i].Corners {
			lon, lat := c.Degrees()
			line.Line = append(line.Line, orb.Point{lon, lat})
		}
		lines = append(lines, line)
	}
	n, err := matching.NewNetwork(lines, matching.DefaultSettings())
	require.NoError(t, err)
	return n
}

// TestHarborRoadsAreDrawnAsMeant: the quay road lies 40 m beside the main road, the viaduct crosses it, and the lines are as long as the
// routes' miles on the ellipsoid (to 1 part in 1,000: the plane is flat).
func TestHarborRoadsAreDrawnAsMeant(t *testing.T) {
	n := harborNetwork(t)
	for i, r := range land.HarborRoutes {
		assert.InEpsilon(t, r.ToMi*land.MetresAMile, n.LengthM(int32(i)), 0.003, r.ID)
	}
	main, quay, over := land.HarborRoads[0], land.HarborRoads[1], land.HarborRoads[2]
	for mi := 0.3; mi < 2.2; mi += 0.1 {
		nearest := math.Inf(1)
		for k := 0.0; k < main.MilesRounded(); k += 0.002 {
			nearest = min(nearest, quay.At(mi).Away(main.At(k)))
		}
		assert.InDelta(t, land.QuayOffsetM, nearest, 6)
	}
	assert.InDelta(t, 0, over.At(2.0*over.MilesRounded()/over.Miles[len(over.Miles)-1]).Away(main.At(land.ViaductAtMi)), 30)
	// Every line ends where another begins, or nowhere near one: no ramp leads to the viaduct.
	for _, end := range []land.Place{over.Corners[0], over.Corners[len(over.Corners)-1]} {
		assert.Greater(t, end.Away(main.At(land.ViaductAtMi)), 1500.0)
	}
}

// TestMatchingOnTheDemosRoads: truth by construction. The limits are the project's own: 98 % of the positions on the right road with 10 m
// noise, 95 % with 30 m. Positions of the frozen receiver are on no road and are left out.
func TestMatchingOnTheDemosRoads(t *testing.T) {
	s, n := inventHarbor(t), harborNetwork(t)
	for _, c := range []struct{ noiseM, want float64 }{{10, 0.98}, {30, 0.95}} {
		right, all := 0, 0
		positions := s.harbor.receive(7, c.noiseM, &PositionsTruth{})
		require.Greater(t, len(positions), 20000)
		var at int
		m := matching.NewMatcher(n, func(index int, p matching.Place) {
			if p.Kind == matching.Frozen {
				return
			}
			all++
			if p.Route == int32(positions[at+index].road) {
				right++
			}
		})
		for i, x := range positions {
			if i > 0 && x.truck != positions[i-1].truck {
				m.Flush()
				at = i
			}
			m.Add(matching.Fix{AtMS: x.at.UnixMilli(), Lon: x.lon, Lat: x.lat, SpeedMPH: x.speedMph})
		}
		m.Flush()
		share := float64(right) / float64(all)
		t.Logf("noise %v m: %.4f of %d positions", c.noiseM, share, all)
		assert.GreaterOrEqual(t, share, c.want, "noise %v m", c.noiseM)
	}
}
