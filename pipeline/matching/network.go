package matching

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/tidwall/rtree"
)

// Route is a route as a line of longitudes and latitudes (WGS 84) in the direction of increasing miles. FromMi and ToMi are the miles of
// its ends; where both are equal the line's own length counts from 0. Other roads, which are nobody's route, stand behind all routes.
type Route struct {
	ID      string
	FromMi  float64
	ToMi    float64
	IsOther bool
	OneWay  bool // driven only towards increasing miles
	Line    orb.LineString
}

// Network is the lines of all routes, where they meet and a tree to find them. It does not change once made.
type Network struct {
	settings Settings
	routes   []drawnRoute
	segments []segment
	tree     rtree.RTreeG[int32]
	bound    orb.Bound
	joints   joints
}

type drawnRoute struct {
	id           string
	fromMi, toMi float64
	lengthM      float64
	first, after int32 // its segments
	isLoop       bool  // its line ends where it begins
	oneWay       bool
	isOther      bool
}

// segment is a straight piece of a route, with coordinates of its own: metres east and north of its first point.
type segment struct {
	lon, lat      float64
	eastM, northM float64 // metres a degree at the middle latitude
	ux, uy        float64 // direction, unit vector
	lengthM       float64
	alongM        float64 // of its first point, from the route's begin
	route         int32
	oneWay        bool
}

// NewNetwork measures the lines and finds where they meet. Routes keep their order; a line needs two different points. Longitudes must
// not jump by 180 degrees or more within the network.
func NewNetwork(routes []Route, settings Settings) (*Network, error) {
	n := &Network{settings: settings.derived(), bound: orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)},
		Max: orb.Point{math.Inf(-1), math.Inf(-1)}}}
	for i, route := range routes {
		if err := n.draw(int32(i), route); err != nil {
			return nil, err
		}
	}
	for i := range n.segments {
		low, high := n.segments[i].box()
		n.tree.Insert(low, high, int32(i))
	}
	n.joints = findJoints(n, routes)
	return n, nil
}

func (n *Network) draw(index int32, route Route) error {
	drawn := drawnRoute{id: route.ID, fromMi: route.FromMi, toMi: route.ToMi, first: int32(len(n.segments)), oneWay: route.OneWay,
		isOther: route.IsOther}
	for i, point := range route.Line {
		if math.IsNaN(point[0]) || math.IsNaN(point[1]) || math.Abs(point[0]) > 180 || math.Abs(point[1]) > 90 {
			return fmt.Errorf("route %q: position %d is %v; want longitude -180 to 180, latitude -90 to 90", route.ID, i+1, point)
		}
		n.bound = n.bound.Extend(point)
		if i == 0 || point == route.Line[i-1] {
			continue
		}
		from := route.Line[i-1]
		s := segment{lon: from[0], lat: from[1], alongM: drawn.lengthM, route: index, oneWay: route.OneWay}
		s.eastM, s.northM = metresPerDegree((from[1] + point[1]) / 2)
		east, north := (point[0]-from[0])*s.eastM, (point[1]-from[1])*s.northM
		s.lengthM = math.Hypot(east, north)
		s.ux, s.uy = east/s.lengthM, north/s.lengthM
		drawn.lengthM += s.lengthM
		n.segments = append(n.segments, s)
	}
	drawn.after = int32(len(n.segments))
	if drawn.lengthM == 0 {
		return fmt.Errorf("route %q: its line has no length; draw it with two different positions at least", route.ID)
	}
	drawn.isLoop = positionKey(route.Line[0]) == positionKey(route.Line[len(route.Line)-1])
	if drawn.fromMi == drawn.toMi {
		drawn.fromMi, drawn.toMi = 0, drawn.lengthM/metresAMile
	}
	n.routes = append(n.routes, drawn)
	return nil
}

func (s *segment) end() (lon, lat float64) {
	return s.lon + s.ux*s.lengthM/s.eastM, s.lat + s.uy*s.lengthM/s.northM
}

func (s *segment) box() (low, high [2]float64) {
	lon, lat := s.end()
	return [2]float64{min(s.lon, lon), min(s.lat, lat)}, [2]float64{max(s.lon, lon), max(s.lat, lat)}
}

// project gives the nearest point of the segment: metres from its first point, and the distance to it.
func (s *segment) project(lon, lat float64) (alongM, distM float64) {
	east, north := (lon-s.lon)*s.eastM, (lat-s.lat)*s.northM
	along := east*s.ux + north*s.uy
	across := east*s.uy - north*s.ux
	switch {
	case along < 0:
		return 0, math.Sqrt(along*along + across*across)
	case along > s.lengthM:
		over := along - s.lengthM
		return s.lengthM, math.Sqrt(over*over + across*across)
	}
	return along, math.Abs(across)
}

// near appends the segments within radiusM of a place, in their order.
func (n *Network) near(list []int32, lon, lat, radiusM float64) []int32 {
	start := len(list)
	eastM, northM := metresPerDegree(lat)
	dx, dy := radiusM/max(eastM, 1), radiusM/northM
	n.tree.Search([2]float64{lon - dx, lat - dy}, [2]float64{lon + dx, lat + dy}, func(_, _ [2]float64, index int32) bool {
		if _, dist := n.segments[index].project(lon, lat); dist <= radiusM {
			list = append(list, index)
		}
		return true
	})
	slices.Sort(list[start:])
	return list
}

// BesideM is how far beside a line a position lies that its noise hardly explains: it may be on another road.
func (n *Network) BesideM() float64 { return 2.5 * n.settings.NoiseM }

// Position is the longitude and latitude at alongM metres from a road's begin.
func (n *Network) Position(road int32, alongM float64) (lon, lat float64) {
	r := &n.routes[road]
	pieces := n.segments[r.first:r.after]
	i, isFound := slices.BinarySearchFunc(pieces, alongM, func(s segment, along float64) int { return cmp.Compare(s.alongM, along) })
	if !isFound && i > 0 {
		i--
	}
	s := &pieces[i]
	over := min(max(alongM-s.alongM, 0), s.lengthM)
	return s.lon + s.ux*over/s.eastM, s.lat + s.uy*over/s.northM
}

// Line is the line of a road as it was measured.
func (n *Network) Line(road int32) (line orb.LineString) {
	r := &n.routes[road]
	for _, s := range n.segments[r.first:r.after] {
		line = append(line, orb.Point{s.lon, s.lat})
	}
	lon, lat := n.segments[r.after-1].end()
	return append(line, orb.Point{lon, lat})
}

// Roads is the number of roads, routes first.
func (n *Network) Roads() int32 { return int32(len(n.routes)) }

// IsRoute: the road is a route.
func (n *Network) IsRoute(road int32) bool { return road != NoRoute && !n.routes[road].isOther }

// RouteID is the name of a route.
func (n *Network) RouteID(route int32) string { return n.routes[route].id }

// LengthM is the length of a route's line in metres on the ellipsoid.
func (n *Network) LengthM(route int32) float64 { return n.routes[route].lengthM }

// IsLoop tells whether a route's line ends where it begins.
func (n *Network) IsLoop(route int32) bool { return n.routes[route].isLoop }

// Mile is the route mile at alongM metres from the line's begin: in proportion between the miles of its ends.
func (n *Network) Mile(route int32, alongM float64) float64 {
	r := &n.routes[route]
	return r.fromMi + (r.toMi-r.fromMi)*min(max(alongM/r.lengthM, 0), 1)
}
