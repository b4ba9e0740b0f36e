package trace

import (
	"container/heap"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
)

// city is roads to drive on: places, the arcs between them in the directions in which they may be driven, and which of them are routes.
type city struct {
	name   string
	places []orb.Point
	arcs   [][]arc // from each place
	number map[orb.Point]int32
	routes []matching.Route
	ends   [][2]int32 // places of the routes' first and last positions
	others []orb.LineString
	beside []bool // of others: a street that runs beside a route
	bounds []orb.Bound
}

// arc is a straight piece of a road in one of its directions. A piece of a route has the metres along its line of both ends.
type arc struct {
	from, to   int32
	lengthM    float64
	speedMS    float64
	route      int32
	fromM, toM float64
	other      int32 // index in others, -1 of a route
}

// road is a road as it is drawn: may be driven with its line (1), against it (-1) or both ways (0).
type road struct {
	line    orb.LineString
	oneWay  int
	speedMS float64
	class   string
}

func (c *city) place(p orb.Point) int32 {
	if at, isKnown := c.number[p]; isKnown {
		return at
	}
	at := int32(len(c.places))
	c.number[p] = at
	c.places, c.arcs = append(c.places, p), append(c.arcs, nil)
	return at
}

func lineM(p, q orb.Point) float64 { return matching.StraightM(p[0], p[1], q[0], q[1]) }

// routePiece is a piece of a route's line by its ends.
type routePiece struct {
	route      int32
	fromM, toM float64
}

// newCity puts routes on roads: a piece of road whose two ends follow each other on a route's line is that route's. Of a route in duals
// the other carriageway of its road is the route too: pieces of the same class near the line that run against it.
func newCity(name string, roads []road, routes []matching.Route, duals []string) *city {
	c := &city{name: name, number: map[orb.Point]int32{}, routes: routes}
	pieces := map[[2]orb.Point]routePiece{}
	for i, r := range routes {
		along := 0.0
		for k := 1; k < len(r.Line); k++ {
			p, q := r.Line[k-1], r.Line[k]
			next := along + lineM(p, q)
			pieces[[2]orb.Point{p, q}], pieces[[2]orb.Point{q, p}] = routePiece{int32(i), along, next}, routePiece{int32(i), next, along}
			along = next
		}
		c.ends = append(c.ends, [2]int32{c.place(r.Line[0]), c.place(r.Line[len(r.Line)-1])})
	}
	classes := map[int32]string{}
	for _, r := range roads {
		for k := 1; k < len(r.line); k++ {
			if piece, isOn := pieces[[2]orb.Point{r.line[k-1], r.line[k]}]; isOn {
				classes[piece.route] = r.class
			}
		}
	}
	for _, r := range roads {
		var other orb.LineString
		for k := 1; k < len(r.line); k++ {
			p, q := r.line[k-1], r.line[k]
			if p == q {
				continue
			}
			piece, isOn := pieces[[2]orb.Point{p, q}]
			if !isOn && r.oneWay != 0 {
				piece, isOn = c.secondCarriageway(p, q, r, duals, classes)
			}
			a := arc{from: c.place(p), to: c.place(q), lengthM: lineM(p, q), speedMS: r.speedMS, route: -1, other: -1}
			if isOn {
				a.route, a.fromM, a.toM = piece.route, piece.fromM, piece.toM
				other = c.endOther(other)
			} else {
				if len(other) == 0 {
					other = orb.LineString{p}
				}
				other = append(other, q)
				a.other = int32(len(c.others))
			}
			back := a
			back.from, back.to, back.fromM, back.toM = a.to, a.from, a.toM, a.fromM
			if r.oneWay >= 0 {
				c.arcs[a.from] = append(c.arcs[a.from], a)
			}
			if r.oneWay <= 0 {
				c.arcs[back.from] = append(c.arcs[back.from], back)
			}
		}
		c.endOther(other)
	}
	return c
}

func (c *city) endOther(other orb.LineString) orb.LineString {
	if len(other) > 0 {
		c.others = append(c.others, other)
	}
	return nil
}

// secondCarriageway finds the route of duals that a piece of road is the other carriageway of.
func (c *city) secondCarriageway(p, q orb.Point, r road, duals []string, classes map[int32]string) (routePiece, bool) {
	if r.oneWay < 0 {
		p, q = q, p
	}
	middle := orb.Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}
	for i, route := range c.routes {
		if !slices.Contains(duals, route.ID) || classes[int32(i)] != r.class {
			continue
		}
		along, dist, ux, uy := nearestOn(route.Line, middle)
		vx, vy := unit(p, q)
		if dist < 60 && ux*vx+uy*vy < -0.8 {
			half := lineM(p, q) / 2
			piece := routePiece{int32(i), along + half, along - half}
			if r.oneWay < 0 {
				piece.fromM, piece.toM = piece.toM, piece.fromM
			}
			return piece, true
		}
	}
	return routePiece{}, false
}

func unit(p, q orb.Point) (x, y float64) {
	x, y = (q[0]-p[0])*math.Cos(p[1]*math.Pi/180), q[1]-p[1]
	length := math.Hypot(x, y)
	return x / length, y / length
}

// nearestOn is the place of a line nearest to a point: metres along, metres off, and the line's direction there.
func nearestOn(line orb.LineString, at orb.Point) (alongM, distM, ux, uy float64) {
	distM = math.Inf(1)
	before := 0.0
	for k := 1; k < len(line); k++ {
		p, q := line[k-1], line[k]
		length := lineM(p, q)
		if length == 0 {
			continue
		}
		x, y := unit(p, q)
		ex, ey := (at[0]-p[0])*math.Cos(p[1]*math.Pi/180)*metresADegree, (at[1]-p[1])*metresADegree
		t := min(max(ex*x+ey*y, 0), length)
		if d := math.Hypot(ex-t*x, ey-t*y); d < distM {
			alongM, distM, ux, uy = before+t, d, x, y
		}
		before += length
	}
	return alongM, distM, ux, uy
}

// way is the quickest way between two places as arcs, nil where there is none (Dijkstra 1959).
func (c *city) way(from, to int32) []arc {
	seconds := make([]float64, len(c.places))
	by := make([]*arc, len(c.places))
	for i := range seconds {
		seconds[i] = math.Inf(1)
	}
	seconds[from] = 0
	queue := &placeQueue{{from, 0}}
	for queue.Len() > 0 {
		at := heap.Pop(queue).(placeAt)
		if at.place == to {
			break
		}
		if at.cost > seconds[at.place] {
			continue
		}
		for i := range c.arcs[at.place] {
			a := &c.arcs[at.place][i]
			if s := at.cost + a.lengthM/a.speedMS; s < seconds[a.to] {
				seconds[a.to], by[a.to] = s, a
				heap.Push(queue, placeAt{a.to, s})
			}
		}
	}
	var list []arc
	for at := to; at != from; at = by[at].from {
		if by[at] == nil {
			return nil
		}
		list = append(list, *by[at])
	}
	slices.Reverse(list)
	return list
}

type placeAt struct {
	place int32
	cost  float64
}

type placeQueue []placeAt

func (q placeQueue) Len() int           { return len(q) }
func (q placeQueue) Less(a, b int) bool { return q[a].cost < q[b].cost }
func (q placeQueue) Swap(a, b int)      { q[a], q[b] = q[b], q[a] }
func (q *placeQueue) Push(x any)        { *q = append(*q, x.(placeAt)) }
func (q *placeQueue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

// along is the pieces of a route's road from one end to the other, by the road itself: nil where it cannot be driven that way.
func (c *city) along(route int32, isBack bool) []arc {
	from, to := c.ends[route][0], c.ends[route][1]
	if isBack {
		from, to = to, from
	}
	own := &city{places: c.places, arcs: make([][]arc, len(c.arcs))}
	for i, arcs := range c.arcs {
		for _, a := range arcs {
			if a.route == route {
				own.arcs[i] = append(own.arcs[i], a)
			}
		}
	}
	return own.way(from, to)
}

// realCity is real roads of a city from open map data; skipped where they are not in the data folder.
//
// © OpenStreetMap contributors, Open Database License 1.0.
func realCity(t testing.TB) *city {
	folder := os.Getenv("LANETALLY_DATA")
	if folder == "" {
		folder = filepath.Join("..", "..", "..", "shared", "data")
	}
	folder = filepath.Join(folder, "real-roads")
	if _, err := os.Stat(folder); err != nil {
		t.Skipf("%s: real-roads is not in the data folder (LANETALLY_DATA)", t.Name())
	}
	type features struct {
		Features []struct {
			Properties struct {
				RouteID string `json:"route_id"`
				OneWay  int    `json:"oneway"`
				Highway string `json:"highway"`
			} `json:"properties"`
			Geometry struct {
				Coordinates orb.LineString `json:"coordinates"`
			} `json:"geometry"`
		} `json:"features"`
	}
	read := func(name string) (f features) {
		text, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(text, &f))
		return f
	}
	// kinds.csv: which routes are one carriageway of a divided road or a ramp, and which are both on one line
	oneWay := []string{"I76E", "I76W", "I83S", "I83N", "PA283E", "PA283W", "I283S", "I283N", "US322E", "US322W", "RAMP1", "RAMP2"}
	var routes []matching.Route
	for _, f := range read("route_lines.geojson").Features {
		routes = append(routes, matching.Route{ID: f.Properties.RouteID, Line: f.Geometry.Coordinates,
			OneWay: slices.Contains(oneWay, f.Properties.RouteID)})
	}
	speeds := map[string]float64{"motorway": 21, "trunk": 19, "motorway_link": 13, "trunk_link": 13, "primary": 14, "secondary": 13}
	var roads []road
	for _, f := range read("roads.geojson").Features {
		speed := speeds[f.Properties.Highway]
		if speed == 0 {
			speed = 10
		}
		roads = append(roads, road{f.Geometry.Coordinates, f.Properties.OneWay, speed, f.Properties.Highway})
	}
	return newCity("real roads", roads, routes, []string{"US22", "SR3032"})
}

// ownCity is a town of our own: a motorway of two carriageways 30 m apart, with frontage streets 60 m off on both sides (the northern one
// a route, the southern nobody's), ramps to them, cross roads that pass over it without meeting it, a road drawn as one line for its two
// carriageways, and streets.
func ownCity() *city {
	at := func(x, off float64) orb.Point {
		p := plane(math.Round(x), math.Round(off+160*math.Sin(x/1100)))
		return orb.Point{math.Round(p[0]*1e7) / 1e7, math.Round(p[1]*1e7) / 1e7}
	}
	row := func(from, to, off float64) (line orb.LineString) {
		step := math.Copysign(50, to-from)
		for x := from; x != to+step; x += step {
			line = append(line, at(x, off))
		}
		return line
	}
	column := func(x float64, offs ...float64) (line orb.LineString) {
		for _, off := range offs {
			line = append(line, at(x, off))
		}
		return line
	}
	const west, north, south, artery, dual, street = 30, 90, -60, -500, 600, -900
	motorway := func(line orb.LineString) road { return road{line, 1, 21, "motorway"} }
	ramp := func(line ...orb.Point) road { return road{line, 1, 12, "ramp"} }
	both := func(line orb.LineString) road { return road{line, 0, 12, "street"} }
	east, westwards := row(0, 8000, 0), row(8000, 0, west)
	frontage, main := row(0, 8000, north), row(0, 8000, artery)
	cross3, cross5 := column(3000, street, artery, south, north, dual, dual+16, 900), column(5500, street, artery, south, north, dual,
		dual+16, 900)
	dualEast := row(0, 8000, dual)
	offEast := ramp(at(2500, 0), at(2600, -8), at(2750, -20), at(2900, -38), at(3000, south))
	onWest := ramp(at(3000, north), at(2900, 60), at(2750, 42), at(2600, 30), at(2500, west))
	roads := []road{motorway(east), motorway(westwards), both(frontage), both(row(0, 8000, south)), both(main), both(cross3), both(cross5),
		{dualEast, 1, 15, "dual"}, {row(8000, 0, dual+16), 1, 15, "dual"}, offEast, onWest,
		ramp(at(3000, south), at(3100, -38), at(3250, -20), at(3400, -8), at(3500, 0)),
		ramp(at(3500, west), at(3400, 30), at(3250, 42), at(3100, 60), at(3000, north)),
		ramp(at(5000, 0), at(5100, -8), at(5250, -20), at(5400, -38), at(5500, south)),
		ramp(at(5500, south), at(5600, -38), at(5750, -20), at(5900, -8), at(6000, 0)),
		ramp(at(6000, west), at(5900, 30), at(5750, 42), at(5600, 60), at(5500, north)),
		ramp(at(5500, north), at(5400, 60), at(5250, 42), at(5100, 30), at(5000, west)),
		both(row(0, 8000, street))}
	for _, x := range []float64{500, 1500, 4000, 7500} {
		roads = append(roads, both(column(x, street, artery)))
	}
	for _, x := range []float64{0, 8000} {
		roads = append(roads, both(column(x, street, artery, south, 0, west, north, dual, dual+16)))
	}
	routes := []matching.Route{{ID: "east", Line: east, OneWay: true}, {ID: "west", Line: westwards, OneWay: true},
		{ID: "frontage", Line: frontage}, {ID: "artery", Line: main}, {ID: "cross", Line: cross3}, {ID: "cross-east", Line: cross5},
		{ID: "dual", Line: dualEast}, {ID: "off-ramp", Line: offEast.line, OneWay: true}, {ID: "on-ramp", Line: onWest.line, OneWay: true}}
	return newCity("own roads", roads, routes, []string{"dual"})
}
