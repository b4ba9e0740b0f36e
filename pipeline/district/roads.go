package district

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
)

// Roads are the lines of a GeoJSON of roads: those of routes by route_id, each one line, and all others. LeftOut are the pieces of a route
// that do not meet its longest line.
type Roads struct {
	Routes  map[string]orb.LineString
	Others  []orb.LineString
	LeftOut map[string]int
}

// The files that drawings stand in.
var (
	RouteLinesFile = referenceFile(routeLinesName)
	OtherRoadsFile = referenceFile(otherRoadsName)
)

// ReadRoads reads a GeoJSON FeatureCollection of LineStrings and MultiLineStrings. Features with a text property route_id are the route's,
// in whatever pieces; the route runs as its first piece does.
func ReadRoads(text []byte) (*Roads, error) {
	var collection geoFeatures
	if err := json.Unmarshal(bytes.TrimPrefix(text, byteOrderMark), &collection); err != nil || collection.Type != "FeatureCollection" {
		return nil, fmt.Errorf("line %d: it is no GeoJSON FeatureCollection (RFC 7946); export the roads as one", jsonErrorLine(text, err))
	}
	roads := &Roads{Routes: map[string]orb.LineString{}, LeftOut: map[string]int{}}
	pieces := map[string][]orb.LineString{}
	for i, member := range collection.Features {
		var feature geoFeature
		if err := json.Unmarshal(member, &feature); err != nil || feature.Geometry == nil {
			return nil, fmt.Errorf("feature %d: it has no geometry, or a route_id that is no text; draw it, write route_id in quotes", i+1)
		}
		lines, err := linesOf(feature.Geometry.Type, feature.Geometry.Coordinates)
		if err != nil {
			return nil, fmt.Errorf("feature %d: %w", i+1, err)
		}
		if id := feature.Properties.RouteID; id != nil && *id != "" {
			pieces[*id] = append(pieces[*id], lines...)
		} else {
			roads.Others = append(roads.Others, lines...)
		}
	}
	for id, list := range pieces {
		line, joined := joinPieces(list)
		roads.Routes[id] = line
		if left := len(list) - joined; left > 0 {
			roads.LeftOut[id] = left
		}
	}
	return roads, nil
}

// linesOf are the lines of a geometry, without heights.
func linesOf(kind string, coordinates json.RawMessage) (lines []orb.LineString, err error) {
	parts := []json.RawMessage{coordinates}
	if kind == "MultiLineString" {
		err = json.Unmarshal(coordinates, &parts)
	}
	if err != nil || kind != "LineString" && kind != "MultiLineString" {
		return nil, fmt.Errorf("its geometry is a %q; export roads as lines", kind)
	}
	for _, part := range parts {
		points, err := linePoints(part)
		if err != nil {
			return nil, err
		}
		var line orb.LineString
		if err := json.Unmarshal([]byte(points), &line); err != nil {
			return nil, err
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// joinPieces joins pieces that share an end, and gives the longest line and how many are in it.
func joinPieces(pieces []orb.LineString) (longest orb.LineString, joined int) {
	for len(pieces) > 0 {
		line, count := slices.Clone(pieces[0]), 1
		pieces = slices.Clone(pieces[1:])
		for i := 0; i < len(pieces); i++ {
			if longer := joinTwo(line, pieces[i]); longer != nil {
				line, count = longer, count+1
				pieces, i = slices.Delete(pieces, i, i+1), -1
			}
		}
		if geo.Length(line) > geo.Length(longest) {
			longest, joined = line, count
		}
	}
	return longest, joined
}

// joinTwo goes on from a line with a piece, turned where need be; nil where they share no end.
func joinTwo(line, piece orb.LineString) orb.LineString {
	turned := slices.Clone(piece)
	slices.Reverse(turned)
	for _, next := range []orb.LineString{piece, turned} {
		if line[len(line)-1] == next[0] {
			return append(line, next[1:]...)
		}
		if line[0] == next[len(next)-1] {
			return slices.Concat(next, line[1:])
		}
	}
	return nil
}

// GeoJSON writes the two drawings, a feature a line.
func (r *Roads) GeoJSON() (routeLines, otherRoads []byte, err error) {
	var routes, others []drawing
	for _, id := range slices.Sorted(maps.Keys(r.Routes)) {
		routes = append(routes, drawing{map[string]string{"route_id": id}, r.Routes[id]})
	}
	for _, line := range r.Others {
		others = append(others, drawing{nil, line})
	}
	if routeLines, err = writeDrawings(routes); err == nil {
		otherRoads, err = writeDrawings(others)
	}
	return routeLines, otherRoads, err
}

type drawing struct {
	properties map[string]string
	line       orb.LineString
}

func writeDrawings(list []drawing) ([]byte, error) {
	var out bytes.Buffer
	out.WriteString(`{"type":"FeatureCollection","features":[`)
	for i, d := range list {
		text, err := json.Marshal(map[string]any{"type": "Feature", "properties": d.properties,
			"geometry": map[string]any{"type": "LineString", "coordinates": d.line}})
		if err != nil {
			return nil, err
		}
		if i > 0 {
			out.WriteByte(',')
		}
		out.WriteByte('\n')
		out.Write(text)
	}
	out.WriteString("\n]}\n")
	return out.Bytes(), nil
}
