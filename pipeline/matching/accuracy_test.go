package matching

import (
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testDrives are days of driving over the test network: every road both ways, side road and main road in turn, under and over the bridge,
// by the ramp, and away from the network and back.
func testDrives(n *Network, speed float64) map[string][]leg {
	mainEnd := n.LengthM(mainRoad)
	joinWest, joinEast := n.joints.ports[sideRoad][0], n.joints.ports[sideRoad][len(n.joints.ports[sideRoad])-1]
	westShare, eastShare := portOn(n, mainRoad, joinWest.joint)/mainEnd, portOn(n, mainRoad, joinEast.joint)/mainEnd
	rampShare := portOn(n, mainRoad, n.joints.ports[ramp][0].joint) / mainEnd
	bridgeShare := portOn(n, bridgeRoad, n.joints.ports[ramp][len(n.joints.ports[ramp])-1].joint) / n.LengthM(bridgeRoad)
	return map[string][]leg{
		"main both ways, then the branch": {along(n, mainRoad, 0, 1, speed), along(n, mainRoad, 1, 0, speed),
			along(n, mainRoad, 0, 1, speed), along(n, branch, 0, 1, speed), along(n, branch, 1, 0, speed)},
		"the side road instead of main": {along(n, mainRoad, 0, westShare, speed), along(n, sideRoad, 0, 1, speed),
			along(n, mainRoad, eastShare, 1, speed)},
		"side road out, main back": {along(n, sideRoad, 0, 1, speed), along(n, mainRoad, eastShare, westShare, speed),
			along(n, sideRoad, 0, 1, speed)},
		"over the bridge and back": {along(n, bridgeRoad, 0, 1, speed), along(n, bridgeRoad, 1, 0, speed)},
		"main, ramp, bridge road": {along(n, mainRoad, 0, rampShare, speed), along(n, ramp, 0, 1, speed),
			along(n, bridgeRoad, bridgeShare, 1, speed)},
		"the road beside the bridge road": {along(n, nearRoad, 0, 1, speed), along(n, nearRoad, 1, 0, speed)},
		"from the garage and back": {across(plane(-1500, -900), plane(0, 0), speed), along(n, mainRoad, 0, 1, speed),
			along(n, branch, 0, 0.5, speed),
			across(position(n, branch, 0.5*n.LengthM(branch)), plane(12000, 1800), speed),
			across(plane(12000, 1800), position(n, branch, 0.5*n.LengthM(branch)), speed), along(n, branch, 0.5, 0, speed),
			along(n, mainRoad, 1, 0, speed)},
	}
}

func portOn(n *Network, route, joint int32) float64 {
	for _, p := range n.joints.ports[route] {
		if p.joint == joint {
			return p.alongM
		}
	}
	panic("no such joint")
}

// TestAccuracy: truth by construction. The limits are the project's own: 98 % with 10 m noise, 95 % with 30 m.
func TestAccuracy(t *testing.T) {
	n, err := NewNetwork(testRoutes(), DefaultSettings())
	require.NoError(t, err)
	for _, c := range []struct{ noiseM, intervalS, want float64 }{{10, 10, 0.98}, {30, 10, 0.95}, {10, 5, 0.98}, {10, 30, 0.95},
		{4, 1, 0.98}} {
		random := rand.New(rand.NewPCG(7, uint64(c.noiseM)))
		right, all := 0, 0
		drives := testDrives(n, 14)
		for _, name := range slices.Sorted(maps.Keys(drives)) {
			legs := drives[name]
			drove, hit := 0, 0
			for range 20 {
				fixes, truths := drive(n, legs, c.intervalS, c.noiseM, random)
				for i, place := range match(n, fixes) {
					drove++
					if place.Route == truths[i].route {
						hit++
					}
				}
			}
			right, all = right+hit, all+drove
			t.Logf("noise %v m every %v s: %-32s %.4f of %d", c.noiseM, c.intervalS, name, float64(hit)/float64(drove), drove)
		}
		share := float64(right) / float64(all)
		t.Logf("noise %v m every %v s: all %.4f of %d", c.noiseM, c.intervalS, share, all)
		assert.GreaterOrEqual(t, share, c.want, "noise %v m every %v s", c.noiseM, c.intervalS)
	}
}
