package district

import (
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A route in three pieces, the second drawn against the first, joins to one line that runs as its first piece does; a fourth that meets
// none, as a second carriageway, is left out. What has no route_id is another road, also where it is of several lines.
func TestReadRoads(t *testing.T) {
	roads, err := ReadRoads([]byte(`{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"route_id":"R1"},"geometry":{"type":"LineString","coordinates":[[1,1],[2,1,350]]}},
{"type":"Feature","properties":{"name":"x"},"geometry":{"type":"MultiLineString","coordinates":[[[5,5],[6,5]],[[7,5],[8,5]]]}},
{"type":"Feature","properties":{"route_id":"R1"},"geometry":{"type":"LineString","coordinates":[[4,1],[3,1],[2,1]]}},
{"type":"Feature","properties":{"route_id":"R1"},"geometry":{"type":"LineString","coordinates":[[0,1],[1,1]]}},
{"type":"Feature","properties":{"route_id":"R1"},"geometry":{"type":"LineString","coordinates":[[2,1.1],[1,1.1]]}},
{"type":"Feature","properties":null,"geometry":{"type":"LineString","coordinates":[[9,5],[9,6]]}}]}`))
	require.NoError(t, err)
	assert.Equal(t, map[string]orb.LineString{"R1": {{0, 1}, {1, 1}, {2, 1}, {3, 1}, {4, 1}}}, roads.Routes)
	assert.Equal(t, []orb.LineString{{{5, 5}, {6, 5}}, {{7, 5}, {8, 5}}, {{9, 5}, {9, 6}}}, roads.Others)
	assert.Equal(t, map[string]int{"R1": 1}, roads.LeftOut)

	routeLines, otherRoads, err := roads.GeoJSON()
	require.NoError(t, err)
	r := &referenceReader{dir: t.TempDir(), broken: map[string]bool{}}
	for name, text := range map[string][]byte{routeLinesName: routeLines, otherRoadsName: otherRoads} {
		table, err := r.readNamed(name)
		require.NoError(t, err)
		r.readRouteLines(&table, text)
		assert.Empty(t, r.faults)
		assert.Len(t, table.Rows, map[string]int{routeLinesName: 1, otherRoadsName: 3}[name])
	}
}

func TestRoadsThatAreNone(t *testing.T) {
	for text, want := range map[string]string{
		"{\n]": "line 2", `{"type":"Feature"}`: "FeatureCollection",
		`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"route_id":7},"geometry":null}]}`: "feature 1",
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]}}]}`: `feature 1: its ` +
			`geometry is a "Point"`,
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"LineString","coordinates":[[1,95],[1,2]]}}]}`: "lat",
	} {
		_, err := ReadRoads([]byte(text))
		assert.ErrorContains(t, err, want)
	}
}
