package district

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"lanetally/pipeline/contract"
)

// geoFeatures is the part of a GeoJSON FeatureCollection (RFC 7946, sections 3.2 and 3.3) that route lines use.
type geoFeatures struct {
	Type     string            `json:"type"`
	Features []json.RawMessage `json:"features"`
}

type geoFeature struct {
	Type       string `json:"type"`
	Properties struct {
		RouteID *string `json:"route_id"`
	} `json:"properties"`
	Geometry *struct {
		Type        string          `json:"type"`
		Coordinates json.RawMessage `json:"coordinates"`
	} `json:"geometry"`
}

// readRouteLines reads the GeoJSON of the routes or of other roads, which need no name. Each line's points become JSON text of pairs of
// longitude and latitude; a third number, the height, is dropped.
func (r *referenceReader) readRouteLines(table *ReferenceTable, text []byte) {
	text = bytes.TrimPrefix(text, byteOrderMark)
	var collection geoFeatures
	if err := json.Unmarshal(text, &collection); err != nil {
		r.fault(table, jsonErrorLine(text, err), "", notFeatures, err)
		return
	}
	if collection.Type != "FeatureCollection" {
		r.fault(table, 1, "", "the type is %q; write a GeoJSON FeatureCollection (RFC 7946)", collection.Type)
		return
	}
	if len(collection.Features) > maxReferenceRows {
		r.fault(table, 0, "", tooManyRows, len(collection.Features), "features", maxReferenceRows)
		return
	}
	rest, line := text, 1
	for _, member := range collection.Features {
		at := max(0, bytes.Index(rest, member))
		line += bytes.Count(rest[:at], []byte("\n"))
		r.readRouteLine(table, member, line)
		line += bytes.Count(member, []byte("\n"))
		rest = rest[at+len(member):]
	}
}

const notFeatures = "%v; write a GeoJSON FeatureCollection (RFC 7946), of routes with a text property route_id"

func (r *referenceReader) readRouteLine(table *ReferenceTable, member json.RawMessage, line int) {
	var feature geoFeature
	if err := json.Unmarshal(member, &feature); err != nil {
		r.fault(table, line-1+jsonErrorLine(member, err), "", notFeatures, err)
		return
	}
	name := contract.Value{Number: float64(len(table.Rows) + 1)}
	what := fmt.Sprintf("road %v", name.Number)
	if routeID := feature.Properties.RouteID; table.File != OtherRoadsFile {
		if name = (contract.Value{}); routeID != nil {
			name.Text = *routeID
		}
		what = fmt.Sprintf("route %q", name.Text)
	}
	switch {
	case feature.Type != "Feature":
		r.fault(table, line, "", "the type is %q; write a Feature (RFC 7946)", feature.Type)
		return
	case name == contract.Value{}:
		r.fault(table, line, "route_id", "the feature has no text property route_id; name its route")
		return
	case feature.Geometry == nil || feature.Geometry.Type != "LineString":
		r.fault(table, line, "geometry", "%s is not drawn by a LineString; draw it with one", what)
		return
	}
	r.positions += bytes.Count(feature.Geometry.Coordinates, []byte("[")) - 1
	if r.positions > maxLinePositions {
		r.fault(table, line, "coordinates", "%s: over %d positions in the file; thin the lines to points 20 m apart", what,
			maxLinePositions)
		return
	}
	points, err := linePoints(feature.Geometry.Coordinates)
	if err != nil {
		r.fault(table, line, "coordinates", "%s: %v", what, err)
		return
	}
	table.Rows = append(table.Rows, []contract.Value{name, {Text: points}})
	table.Lines = append(table.Lines, line)
}

// linePoints checks a LineString's positions and writes them without heights.
func linePoints(coordinates json.RawMessage) (string, error) {
	var positions [][]float64
	if err := json.Unmarshal(coordinates, &positions); err != nil {
		return "", fmt.Errorf("the coordinates are no list of positions; write [longitude, latitude] pairs")
	}
	if len(positions) < 2 {
		return "", fmt.Errorf("%d positions; a line needs at least two (RFC 7946, section 3.1.4)", len(positions))
	}
	pairs := make([][2]float64, len(positions))
	for i, position := range positions {
		if len(position) < 2 || len(position) > 3 {
			return "", fmt.Errorf("position %d has %d numbers; write longitude, latitude and at most a height", i+1, len(position))
		}
		lon, lat := position[0], position[1]
		if lon < -180 || lon > 180 || lat < -90 || lat > 90 {
			return "", fmt.Errorf("position %d is [%v, %v]; write longitude (-180 to 180) first, then latitude (-90 to 90)", i+1, lon, lat)
		}
		pairs[i] = [2]float64{lon, lat}
	}
	text, err := json.Marshal(pairs)
	return string(text), err
}

// lineAt is the line of a place in a text.
func lineAt(text []byte, at int) int { return 1 + bytes.Count(text[:min(at, len(text))], []byte("\n")) }

// jsonErrorLine finds the line of a decoding error, 1 when it is not told.
func jsonErrorLine(text []byte, err error) int {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return lineAt(text, int(syntax.Offset))
	case errors.As(err, &kind):
		return lineAt(text, int(kind.Offset))
	}
	return 1
}
