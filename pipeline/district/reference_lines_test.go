package district

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
)

// FuzzRouteLines: whatever the text, each feature becomes one row or has one fault. A row has its route, its line in the file, and at least
// two points within the bounds of longitude and latitude, the numbers of the text; read again from what was written it is the same.
func FuzzRouteLines(f *testing.F) {
	f.Add([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"route_id":"r1"},` +
		`"geometry":{"type":"LineString","coordinates":[[-105,40],[-105.1,40.1,1600]]}}]}`))
	f.Add([]byte("\xef\xbb\xbf{\n\"type\":\"FeatureCollection\",\n\"features\":[\n{\"type\":\"Feature\",\"properties\":null," +
		"\"geometry\":null},\n{}]}"))
	f.Add([]byte(`{"features":[{"type":"Feature","properties":{"route_id":"a"},"geometry":{"type":"LineString","coordinates":[[181,0],` +
		`[0,91]]}}],"type":"FeatureCollection","features":[]}`))
	f.Add([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"route_id":""},"geometry":{"type":"Point",` +
		`"coordinates":[1e400,2]}}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, table := new(referenceReader), new(ReferenceTable)
		r.readRouteLines(table, text)
		require.Len(t, table.Lines, len(table.Rows))
		var plain struct{ Features []json.RawMessage }
		if err := json.Unmarshal([]byte(strings.TrimPrefix(string(text), "\ufeff")), &plain); err != nil {
			require.Empty(t, table.Rows)
			require.NotEmpty(t, r.faults)
			return
		}
		if len(r.faults) != 1 || len(table.Rows) > 0 {
			require.Equal(t, len(plain.Features), len(table.Rows)+len(r.faults))
		}
		for _, fault := range r.faults {
			require.NotEmpty(t, fault.String())
			require.LessOrEqual(t, fault.Line, 1+strings.Count(string(text), "\n"))
		}
		for i, row := range table.Rows {
			require.Len(t, row, 2)
			require.NotEmpty(t, row[0].Text)
			require.GreaterOrEqual(t, table.Lines[i], 1)
			require.LessOrEqual(t, table.Lines[i], 1+strings.Count(string(text), "\n"))
			requireLine(t, row[0].Text, row[1].Text)
		}
	})
}

// requireLine asks that points are a line, and that they are read back as they stand.
func requireLine(t *testing.T, route, points string) {
	t.Helper()
	var pairs [][]float64
	require.NoError(t, json.Unmarshal([]byte(points), &pairs))
	require.GreaterOrEqual(t, len(pairs), 2)
	for _, pair := range pairs {
		require.Len(t, pair, 2)
		require.LessOrEqual(t, math.Abs(pair[0]), 180.0)
		require.LessOrEqual(t, math.Abs(pair[1]), 90.0)
	}
	name, err := json.Marshal(route)
	require.NoError(t, err)
	again, table := new(referenceReader), new(ReferenceTable)
	again.readRouteLines(table, []byte(`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"route_id":`+string(name)+
		`},"geometry":{"type":"LineString","coordinates":`+points+`}}]}`))
	require.Empty(t, again.faults)
	require.Len(t, table.Rows, 1)
	require.Equal(t, []contract.Value{{Text: route}, {Text: points}}, table.Rows[0])
}
