package scenario_test

import (
	"cmp"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
	"lanetally/pipeline/scenario"
	"lanetally/pipeline/trace"
)

// deliveredNetwork is the matcher's network, from the delivered reference tables.
func deliveredNetwork(t *testing.T) *matching.Network {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(demoDir, "reference", "route_lines.geojson"))
	require.NoError(t, err)
	var file struct {
		Features []struct {
			Properties struct {
				RouteID string `json:"route_id"`
			} `json:"properties"`
			Geometry struct {
				Coordinates orb.LineString `json:"coordinates"`
			} `json:"geometry"`
		} `json:"features"`
	}
	require.NoError(t, json.Unmarshal(body, &file))
	routes := keys(t, "routes.csv", "route_id")
	require.Len(t, file.Features, len(routes))
	var lines []matching.Route
	for _, f := range file.Features {
		r := routes[f.Properties.RouteID]
		lines = append(lines, matching.Route{ID: f.Properties.RouteID, FromMi: r.number(t, "from_mi"), ToMi: r.number(t, "to_mi"),
			Line: f.Geometry.Coordinates})
	}
	n, err := matching.NewNetwork(lines, matching.DefaultSettings())
	require.NoError(t, err)
	return n
}

func pointOf(t *testing.T, r row) trace.Point {
	t.Helper()
	number := func(column string) float64 {
		if r.cells[column] == "" {
			return math.NaN()
		}
		return r.number(t, column)
	}
	tri := map[string]trace.Tri{"true": trace.Yes, "false": trace.No}
	p := trace.Point{AtMS: mustAt(t, r.cells["at"]).UnixMilli(), Lon: number("lon"), Lat: number("lat"), SpeedMPH: number("speed_mph"),
		RateLbPerLaneMi: number("rate_lb_per_lane_mi"),
		TotalLb:         number("dispensed_total_lb"), Lanes: number("lanes"), Crew: 1, Spreading: tri[r.cells["spreading"]],
		PlowDown: tri[r.cells["plow_down"]]}
	if r.cells["material_id"] != "" {
		p.Material = 1
	}
	return p
}

// builtPass is a pass made from positions, with its truck.
type builtPass struct {
	trace.Pass
	truckID, routeID string
	isTaken          bool
}

func lengthOf(p builtPass) float64 { return math.Abs(p.ToMi-p.FromMi) * p.Lanes }

// built are the passes of all good positions.
type built struct {
	passes                                  []builtPass
	duplicates, frozen, wraps, resets, lost int
	fedLb, unplacedLb                       float64
}

func buildPasses(t *testing.T) (b built) {
	t.Helper()
	network := deliveredNetwork(t)
	lanes := make([]float64, len(keys(t, "routes.csv", "route_id")))
	builder := trace.NewBuilder(network, lanes, trace.DefaultSettings())
	points := map[string][]trace.Point{}
	for _, r := range goodRows(t, "breadcrumbs") {
		points[r.cells["truck_id"]] = append(points[r.cells["truck_id"]], pointOf(t, r))
	}
	for _, truckID := range demoTruth.Positions.TruckIDs {
		ordered := points[truckID]
		slices.SortStableFunc(ordered, func(p, q trace.Point) int { return cmp.Compare(p.AtMS, q.AtMS) })
		ordered = slices.CompactFunc(ordered, func(p, q trace.Point) bool { return p.Same(&q) })
		b.duplicates += len(points[truckID]) - len(ordered)
		split := trace.NewSplitter(trace.DefaultSettings(), func(points []trace.Point) {
			made, c := builder.Build(points)
			for _, p := range made {
				b.passes = append(b.passes, builtPass{Pass: p, truckID: truckID, routeID: network.RouteID(p.Route)})
			}
			b.frozen, b.wraps, b.resets, b.lost = b.frozen+c.Frozen, b.wraps+c.Wraps, b.resets+c.Resets, b.lost+c.CounterFaults
			b.fedLb, b.unplacedLb = b.fedLb+float64(c.FedULb)/1e6, b.unplacedLb+float64(c.UnplacedULb)/1e6
		})
		for i, p := range ordered {
			require.True(t, i == 0 || p.AtMS > ordered[i-1].AtMS, "a correction")
			split.Add(p)
		}
		split.Flush()
	}
	return b
}

// TestPositionsGiveThePassesOfTheirDrives: the passes that the matcher and the trace builder make of the delivered positions, whatever
// noise, tunnel, frozen receiver, wraps and late or repeated rows did to them, are those of the sheets. Tolerances: each end within 0.07
// miles (at 24 mph positions every 10 s are 0.067 miles apart) and its pounds within 5 % (what goes out between two positions at its ends).
// All together: 1 % of the lane-miles, 0.2 % of the pounds. Where a truck turns round at once, what the last position says holds to the
// next: slivers between two positions, together under 0.2 % of the lane-miles.
func TestPositionsGiveThePassesOfTheirDrives(t *testing.T) {
	b, truth := buildPasses(t), demoTruth.Positions
	require.Greater(t, len(truth.Passes), 300)
	var milesWant, milesGot, slivers, lbWant, lbGot float64
	for _, want := range truth.Passes {
		milesWant += want.LaneMiles
		lbWant += want.DispensedLb
		got := findPass(t, b.passes, want)
		if assert.NotNil(t, got, "%+v", want) {
			assert.InDelta(t, want.FromMi, got.FromMi, 0.07, "%+v", want)
			assert.InDelta(t, want.ToMi, got.ToMi, 0.07, "%+v", want)
			assert.InDelta(t, want.DispensedLb, float64(got.Pounds)/1e6, 0.05*want.DispensedLb, "%+v", want)
			assert.Equal(t, want.PlowDown, got.PlowDown == trace.Yes)
			assert.Empty(t, got.Weak)
		}
	}
	for _, p := range b.passes {
		milesGot += lengthOf(p)
		lbGot += float64(p.Pounds) / 1e6
		if !p.isTaken {
			assert.Less(t, lengthOf(p), 0.08)
			slivers += lengthOf(p)
		}
	}
	t.Logf("%d passes; lane-miles %.1f of %.1f, %.1f in slivers; pounds %.0f of %.0f, %.0f in no pass", len(truth.Passes), milesGot,
		milesWant, slivers, lbGot, lbWant, b.unplacedLb)
	assert.InEpsilon(t, milesWant, milesGot, 0.01)
	assert.Less(t, slivers, 0.002*milesWant)
	assert.InEpsilon(t, lbWant, lbGot, 0.002)
	assert.InDelta(t, b.fedLb, lbGot+b.unplacedLb, 1e-3)
	assert.Equal(t, []int{truth.Duplicates, truth.Wraps, truth.Resets, 0}, []int{b.duplicates, b.wraps, b.resets, b.lost})
	assert.InDelta(t, truth.Frozen, b.frozen, 1)
	assert.Positive(t, truth.InTunnel)
	assert.Positive(t, truth.OutOfOrder)
}

// findPass takes the pass of the truck on the route that shares most time with the wanted one.
func findPass(t *testing.T, passes []builtPass, want scenario.PassTruth) (best *builtPass) {
	t.Helper()
	began, ended := mustAt(t, want.BeganAt).UnixMilli(), mustAt(t, want.EndedAt).UnixMilli()
	most := (ended - began) / 2
	for i := range passes {
		p := &passes[i]
		shared := min(p.EndedMS, ended) - max(p.BeganMS, began)
		if p.truckID == want.TruckID && p.routeID == want.RouteID && shared > most &&
			(p.Activity == trace.Treating) == (want.MaterialID != "") {
			best, most = p, shared
		}
	}
	if best != nil {
		best.isTaken = true
	}
	return best
}

// TestSheetsInPlaceOfPositions: with sheets alone the zone's passes are those that truth.json lists, and there are no positions.
func TestSheetsInPlaceOfPositions(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "sheets")
	told, err := scenario.Write(dir, scenario.Options{SheetsOnly: true})
	require.NoError(t, err)
	assert.Nil(t, told.Positions)
	assert.NoDirExists(t, filepath.Join(dir, "inbox", "breadcrumbs"))
	files, err := filepath.Glob(filepath.Join(dir, "inbox", "passes", "passes-*-harbor.csv"))
	require.NoError(t, err)
	var lines []row
	for _, path := range files {
		body, err := os.ReadFile(path)
		require.NoError(t, err)
		lines = append(lines, readFile(t, "passes", filepath.Base(path), body)...)
	}
	want := map[string]scenario.PassTruth{}
	for _, p := range demoTruth.Positions.Passes {
		want[p.TruckID+p.BeganAt] = p
	}
	found := 0
	for _, r := range lines {
		began := mustAt(t, r.cells["began_at"])
		p, has := want[r.cells["truck_id"]+began.Format("2006-01-02T15:04:05Z")]
		if !has {
			assert.Less(t, began.Year(), 2029, "a pass of the season with positions")
			continue
		}
		found++
		assert.Equal(t, []any{p.RouteID, p.FromMi, p.ToMi, p.DispensedLb, p.MaterialID},
			[]any{r.cells["route_id"], r.number(t, "from_mi"), r.number(t, "to_mi"), r.number(t, "dispensed_lb"), r.cells["material_id"]})
	}
	assert.Equal(t, len(want), found)
}
