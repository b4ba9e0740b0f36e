package matching

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// joints are the places where routes meet, and the ways between them along the routes.
//
// Two lines meet where the end of one lies within JunctionM of the other, or where both have a position at the same longitude and
// latitude (to a millionth of a degree). Lines that only cross do not meet: one passes over the other.
type joints struct {
	ports [][]port // of each route, by alongM
	edges [][]edge // of each joint, in the directions that may be driven
}

// port is a joint as seen from one route.
type port struct {
	alongM float64
	joint  int32
}

type edge struct {
	to    int32
	distM float64
}

// sameJointM: two meetings of the same two routes nearer than this are one, metres.
const sameJointM = 5

func findJoints(n *Network, routes []Route) joints {
	j := joints{ports: make([][]port, len(routes))}
	j.atEnds(n, routes, j.atSharedPositions(n, routes))
	for i := range j.ports {
		slices.SortFunc(j.ports[i], func(a, b port) int {
			if a.alongM != b.alongM {
				return cmpFloat(a.alongM, b.alongM)
			}
			return int(a.joint - b.joint)
		})
	}
	j.connect(n)
	return j
}

func cmpFloat(a, b float64) int {
	if a < b {
		return -1
	}
	return 1
}

type spot struct {
	route  int32
	alongM float64
}

// atSharedPositions gives the places of all roads at each position.
func (j *joints) atSharedPositions(n *Network, routes []Route) (at map[[2]int64][]spot) {
	at = map[[2]int64][]spot{}
	var order [][2]int64
	add := func(point orb.Point, s spot) {
		key := positionKey(point)
		if _, seen := at[key]; !seen {
			order = append(order, key)
		}
		at[key] = append(at[key], s)
	}
	for i := range routes {
		r := &n.routes[i]
		for _, s := range n.segments[r.first:r.after] {
			add(orb.Point{s.lon, s.lat}, spot{int32(i), s.alongM})
		}
		add(routes[i].Line[len(routes[i].Line)-1], spot{int32(i), r.lengthM})
	}
	for _, key := range order {
		spots := at[key]
		for a := range spots {
			for b := a + 1; b < len(spots); b++ {
				j.meet(spots[a], spots[b])
			}
		}
	}
	return at
}

// positionKey is the same for positions within a tenth of a metre of each other.
func positionKey(point orb.Point) [2]int64 {
	return [2]int64{int64(math.Round(point[0] * 1e6)), int64(math.Round(point[1] * 1e6))}
}

// atEnds looks around the ends of lines. Of roads that are no routes those that share their last position have met there: where they go on
// over another road, as a bridge, they do not meet it.
func (j *joints) atEnds(n *Network, routes []Route, at map[[2]int64][]spot) {
	var list []int32
	for i := range routes {
		line := routes[i].Line
		for end, point := range []orb.Point{line[0], line[len(line)-1]} {
			if routes[i].IsOther && len(at[positionKey(point)]) > 1 {
				continue
			}
			own := spot{int32(i), float64(end) * n.routes[i].lengthM}
			nearest := map[int32]spot{}
			dist := map[int32]float64{}
			var met []int32
			list = n.near(list[:0], point[0], point[1], n.settings.JunctionM)
			for _, index := range list {
				s := &n.segments[index]
				along, d := s.project(point[0], point[1])
				if known, seen := dist[s.route]; s.route == int32(i) || seen && known <= d {
					continue
				}
				if _, seen := dist[s.route]; !seen {
					met = append(met, s.route)
				}
				nearest[s.route], dist[s.route] = spot{s.route, s.alongM + along}, d
			}
			for _, route := range met {
				j.meet(own, nearest[route])
			}
		}
	}
}

// meet adds a joint of two spots, unless the two routes already meet there.
func (j *joints) meet(a, b spot) {
	if a.route == b.route && math.Abs(a.alongM-b.alongM) < sameJointM {
		return
	}
	for _, p := range j.ports[a.route] {
		if math.Abs(p.alongM-a.alongM) >= sameJointM {
			continue
		}
		for _, q := range j.ports[b.route] {
			if q.joint == p.joint && math.Abs(q.alongM-b.alongM) < sameJointM {
				return
			}
		}
	}
	joint := int32(len(j.edges))
	j.edges = append(j.edges, nil)
	j.ports[a.route] = append(j.ports[a.route], port{a.alongM, joint})
	j.ports[b.route] = append(j.ports[b.route], port{b.alongM, joint})
}

// connect makes the edges between joints that follow each other on a road.
func (j *joints) connect(n *Network) {
	for road, ports := range j.ports {
		for i := 1; i < len(ports); i++ {
			a, b, dist := ports[i-1].joint, ports[i].joint, ports[i].alongM-ports[i-1].alongM
			j.edges[a] = append(j.edges[a], edge{b, dist})
			if !n.routes[road].oneWay {
				j.edges[b] = append(j.edges[b], edge{a, dist})
			}
		}
	}
}

// edgeHeap is the queue of the search, nearest first (container/heap).
type edgeHeap []edge

// Len is the number of entries.
func (h edgeHeap) Len() int { return len(h) }

// Less compares distances.
func (h edgeHeap) Less(a, b int) bool { return h[a].distM < h[b].distM }

// Swap exchanges two entries.
func (h edgeHeap) Swap(a, b int) { h[a], h[b] = h[b], h[a] }

// Push adds an entry at the end.
func (h *edgeHeap) Push(x any) { *h = append(*h, x.(edge)) }

// Pop takes the last entry.
func (h *edgeHeap) Pop() any {
	old := *h
	last := old[len(old)-1]
	*h = old[:len(old)-1]
	return last
}

// around gives the ports of a route on either side of a place; one may be missing.
func (j *joints) around(route int32, alongM float64) []port {
	ports := j.ports[route]
	low, high := 0, len(ports)
	for low < high {
		middle := (low + high) / 2
		if ports[middle].alongM < alongM {
			low = middle + 1
		} else {
			high = middle
		}
	}
	return ports[max(low-1, 0):min(low+1, len(ports))]
}
