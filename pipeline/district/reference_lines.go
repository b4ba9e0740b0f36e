package district

import (
	"bytes"
	"encoding/json"
	"fmt"

	"lanetally/pipeline/contract"
)

// geoFeatures is the part of a GeoJSON FeatureCollection (RFC 7946, sections 3.2 and 3.3) that route lines use.
type geoFeatures struct {
	Type     string       `json:"type"`
	Features []geoFeature `json:"features"`
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

// readRouteLines reads the GeoJSON of the routes. Each line's points become JSON text of pairs of longitude and latitude;
// a third number, the height, is dropped.
func (r *referenceReader) readRouteLines(table *ReferenceTable, text []byte) {
	text = bytes.TrimPrefix(text, byteOrderMark)
	var collection geoFeatures
	if err := json.Unmarshal(text, &collection); err != nil {
		r.fault(table, jsonErrorLine(text, err), "", "%v; write a GeoJSON FeatureCollection (RFC 7946) with a text property route_id", err)
		return
	}
	if collection.Type != "FeatureCollection" {
		r.fault(table, 1, "", "the type is %q; write a GeoJSON FeatureCollection (RFC 7946)", collection.Type)
		return
	}
	lines := featureLines(text)
	for i := range collection.Features {
		line := 1
		if i < len(lines) {
			line = lines[i]
		}
		r.readRouteLine(table, &collection.Features[i], line)
	}
}

func (r *referenceReader) readRouteLine(table *ReferenceTable, feature *geoFeature, line int) {
	routeID := feature.Properties.RouteID
	switch {
	case feature.Type != "Feature":
		r.fault(table, line, "", "the type is %q; write a Feature (RFC 7946)", feature.Type)
		return
	case routeID == nil || *routeID == "":
		r.fault(table, line, "route_id", "the feature has no text property route_id; name its route")
		return
	case feature.Geometry == nil || feature.Geometry.Type != "LineString":
		r.fault(table, line, "geometry", "route %q is not drawn by a LineString; draw it with one", *routeID)
		return
	}
	points, err := linePoints(feature.Geometry.Coordinates)
	if err != nil {
		r.fault(table, line, "coordinates", "route %q: %v", *routeID, err)
		return
	}
	table.Rows = append(table.Rows, []contract.Value{{Text: *routeID}, {Text: points}})
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

// featureLines gives the line on which each member of features begins, as far as the text can be read.
func featureLines(text []byte) []int {
	decoder := json.NewDecoder(bytes.NewReader(text))
	depth, isFeatures := 0, false
	for {
		token, err := decoder.Token()
		if err != nil {
			return nil
		}
		switch t := token.(type) {
		case json.Delim:
			if depth == 1 && isFeatures && t == '[' {
				return memberLines(text, decoder)
			}
			depth += map[json.Delim]int{'{': 1, '[': 1, '}': -1, ']': -1}[t]
		case string:
			isFeatures = depth == 1 && t == "features"
		}
	}
}

func memberLines(text []byte, decoder *json.Decoder) []int {
	var lines []int
	for decoder.More() {
		start := decoder.InputOffset()
		for start < int64(len(text)) && bytes.IndexByte([]byte(" \t\r\n,"), text[start]) >= 0 {
			start++
		}
		lines = append(lines, lineAt(text, start))
		var member json.RawMessage
		if decoder.Decode(&member) != nil {
			break
		}
	}
	return lines
}

func lineAt(text []byte, offset int64) int {
	return 1 + bytes.Count(text[:min(offset, int64(len(text)))], []byte("\n"))
}

// jsonErrorLine finds the line of a decoding error, 1 when it is not told.
func jsonErrorLine(text []byte, err error) int {
	switch e := err.(type) {
	case *json.SyntaxError:
		return lineAt(text, e.Offset)
	case *json.UnmarshalTypeError:
		return lineAt(text, e.Offset)
	}
	return 1
}
