package matching

import (
	"container/heap"
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
	ways  ways     // between two joints, at most JunctionMaxM long
	edges [][]edge // of each joint
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
	j.atSharedPositions(n, routes)
	j.atEnds(n, routes)
	for i := range j.ports {
		slices.SortFunc(j.ports[i], func(a, b port) int {
			if a.alongM != b.alongM {
				return cmpFloat(a.alongM, b.alongM)
			}
			return int(a.joint - b.joint)
		})
	}
	j.connect(n.settings.JunctionMaxM)
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

func (j *joints) atSharedPositions(n *Network, routes []Route) {
	at := map[[2]int64][]spot{}
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
}

// positionKey is the same for positions within a tenth of a metre of each other.
func positionKey(point orb.Point) [2]int64 {
	return [2]int64{int64(math.Round(point[0] * 1e6)), int64(math.Round(point[1] * 1e6))}
}

func (j *joints) atEnds(n *Network, routes []Route) {
	var list []int32
	for i := range routes {
		line := routes[i].Line
		for end, point := range []orb.Point{line[0], line[len(line)-1]} {
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

// connect measures the ways between joints along the routes (Dijkstra 1959), up to maxM.
func (j *joints) connect(maxM float64) {
	for _, ports := range j.ports {
		for i := 1; i < len(ports); i++ {
			a, b, dist := ports[i-1].joint, ports[i].joint, ports[i].alongM-ports[i-1].alongM
			j.edges[a] = append(j.edges[a], edge{b, dist})
			j.edges[b] = append(j.edges[b], edge{a, dist})
		}
	}
	dist := make([]float64, len(j.edges))
	for i := range dist {
		dist[i] = math.Inf(1)
	}
	for from := range j.edges {
		reached := j.spread(int32(from), maxM, dist)
		for _, to := range reached {
			if to != int32(from) {
				j.ways.put(int32(from), to, dist[to])
			}
			dist[to] = math.Inf(1)
		}
	}
}

func (j *joints) spread(from int32, maxM float64, dist []float64) (reached []int32) {
	queue := &edgeHeap{{from, 0}}
	dist[from] = 0
	reached = append(reached, from)
	for queue.Len() > 0 {
		at := heap.Pop(queue).(edge)
		if at.distM > dist[at.to] {
			continue
		}
		for _, e := range j.edges[at.to] {
			d := at.distM + e.distM
			if d > maxM || d >= dist[e.to] {
				continue
			}
			if math.IsInf(dist[e.to], 1) {
				reached = append(reached, e.to)
			}
			dist[e.to] = d
			heap.Push(queue, edge{e.to, d})
		}
	}
	return reached
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

// wayM is the length of the shortest way along the routes between two places, through the joints on either side of each.
func (n *Network) wayM(fromRoute int32, fromM float64, toRoute int32, toM float64) (distM float64, ok bool) {
	distM = math.Inf(1)
	for _, exit := range n.joints.around(fromRoute, fromM) {
		for _, entry := range n.joints.around(toRoute, toM) {
			if between, known := n.joints.betweenM(exit.joint, entry.joint); known {
				distM = min(distM, math.Abs(exit.alongM-fromM)+between+math.Abs(entry.alongM-toM))
			}
		}
	}
	return distM, !math.IsInf(distM, 1)
}

func (j *joints) betweenM(from, to int32) (distM float64, known bool) {
	if from == to {
		return 0, true
	}
	return j.ways.get(from, to)
}

// Through is the shortest way along the routes between two places, through joints: its length, and where it leaves
// the first route for good and joins the second, all in metres. ok is false when there is none, or when the joints around the two
// places are more than JunctionMaxM apart.
func (n *Network) Through(fromRoute int32, fromM float64, toRoute int32, toM float64) (distM, exitM, entryM float64, ok bool) {
	distM, ok = n.wayM(fromRoute, fromM, toRoute, toM)
	if !ok {
		return 0, 0, 0, false
	}
	exitM, entryM = fromM, toM
	for _, exit := range n.joints.ports[fromRoute] {
		for _, entry := range n.joints.ports[toRoute] {
			between, known := n.joints.betweenM(exit.joint, entry.joint)
			onFrom, onTo := math.Abs(exit.alongM-fromM), math.Abs(entry.alongM-toM)
			isShortest := known && math.Abs(onFrom+between+onTo-distM) < 1e-6
			if isShortest && onFrom+onTo >= math.Abs(exitM-fromM)+math.Abs(entryM-toM) {
				exitM, entryM = exit.alongM, entry.alongM
			}
		}
	}
	return distM, exitM, entryM, true
}
