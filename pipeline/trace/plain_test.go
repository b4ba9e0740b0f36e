package trace

import (
	"container/heap"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
)

// A reference: the plain matcher of Newson and Krumm ("Hidden Markov Map Matching Through Noise and Sparseness", 2009), written apart from
// the product and for no speed. It knows every road of a city and in which directions each may be driven, and the noise. Each arc within
// reach of a position is a state; the cost of a position is that of a normal error; the cost of a way is the difference of its length and
// the straight distance over a mean, by the shortest way of arcs found anew each time. No routes, no road off the map, no bound on time.
type plain struct {
	city  *city
	sdM   float64
	cells map[[2]int][]arc
}

type plainState struct {
	arc    arc
	onM    float64
	cost   float64
	before int
}

const plainReachM, plainCellM = 130, 200

func newPlain(c *city, sdM float64) *plain {
	p := &plain{c, sdM, map[[2]int][]arc{}}
	for _, arcs := range c.arcs {
		for _, a := range arcs {
			seen := map[[2]int]bool{}
			for share := 0.0; share <= 1; share += min(1, 20/max(a.lengthM, 1)) {
				q := position(orb.LineString{c.places[a.from], c.places[a.to]}, share)
				x, y := p.cell(q[0], q[1])
				for dx := -1; dx <= 1; dx++ {
					for dy := -1; dy <= 1; dy++ {
						if key := [2]int{x + dx, y + dy}; !seen[key] {
							seen[key] = true
							p.cells[key] = append(p.cells[key], a)
						}
					}
				}
			}
		}
	}
	return p
}

func (p *plain) cell(lon, lat float64) (x, y int) {
	return int(math.Floor(lon * metresADegree * math.Cos(p.city.places[0][1]*math.Pi/180) / plainCellM)),
		int(math.Floor(lat * metresADegree / plainCellM))
}

// states are the arcs around a position with the cost of its error.
func (p *plain) states(point *Point) (list []plainState) {
	x, y := p.cell(point.Lon, point.Lat)
	for _, a := range p.cells[[2]int{x, y}] {
		from, to := p.city.places[a.from], p.city.places[a.to]
		on, dist, _, _ := nearestOn(orb.LineString{from, to}, orb.Point{point.Lon, point.Lat})
		if dist <= plainReachM {
			list = append(list, plainState{arc: a, onM: on, cost: dist * dist / (2 * p.sdM * p.sdM), before: -1})
		}
	}
	return list
}

// lengths are those of the shortest ways from a state to the begins of arcs, up to limitM.
func (p *plain) lengths(s *plainState, limitM float64) map[int32]float64 {
	known := map[int32]float64{s.arc.to: s.arc.lengthM - s.onM}
	queue := &placeQueue{{s.arc.to, s.arc.lengthM - s.onM}}
	for queue.Len() > 0 {
		at := heap.Pop(queue).(placeAt)
		if at.cost > known[at.place] {
			continue
		}
		for _, a := range p.city.arcs[at.place] {
			length := at.cost + a.lengthM
			if best, isKnown := known[a.to]; length <= limitM && (!isKnown || length < best) {
				known[a.to] = length
				heap.Push(queue, placeAt{a.to, length})
			}
		}
	}
	return known
}

// match gives the route of each position, -1 where it is on none.
func (p *plain) match(points []Point) []int32 {
	var columns [][]plainState
	var index []int
	for i := range points {
		states := p.states(&points[i])
		if len(states) == 0 {
			continue
		}
		if k := len(columns); k > 0 {
			p.extend(columns[k-1], states, &points[index[k-1]], &points[i])
		}
		columns, index = append(columns, states), append(index, i)
	}
	routes := make([]int32, len(points))
	for i := range routes {
		routes[i] = -1
	}
	at := 0
	for k := len(columns) - 1; k >= 0; k-- {
		if k == len(columns)-1 || at < 0 {
			at = 0
			for i := range columns[k] {
				if columns[k][i].cost < columns[k][at].cost {
					at = i
				}
			}
		}
		routes[index[k]] = columns[k][at].arc.route
		at = columns[k][at].before
	}
	return routes
}

func (p *plain) extend(before, states []plainState, from, to *Point) {
	straightM := matching.StraightM(from.Lon, from.Lat, to.Lon, to.Lat)
	betaM := 15 * max(1, float64(to.AtMS-from.AtMS)/10_000)
	best := make([]float64, len(states))
	for i := range best {
		best[i] = math.Inf(1)
	}
	for k := range before {
		s := &before[k]
		lengths := p.lengths(s, 2*straightM+300)
		for i := range states {
			t := &states[i]
			length, isKnown := lengths[t.arc.from]
			length += t.onM
			if t.arc == s.arc && t.onM >= s.onM-4*p.sdM {
				length, isKnown = math.Abs(t.onM-s.onM), true
			}
			if !isKnown {
				continue
			}
			if cost := s.cost + math.Abs(length-straightM)/betaM; cost < best[i] {
				best[i], t.before = cost, k
			}
		}
	}
	for i := range states {
		states[i].cost += best[i]
	}
}

// rightShare is the share of the metres driven on routes whose position lies on the right route.
func rightShare(shift []second, intervalS int, routes []int32) (rightM, allM float64) {
	for i, route := range routes {
		droveM := 0.0
		for k := i * intervalS; k < min((i+1)*intervalS, len(shift)); k++ {
			droveM += shift[k].droveM
		}
		if truth := shift[i*intervalS].route; truth >= 0 {
			allM += droveM
			if truth == route {
				rightM += droveM
			}
		}
	}
	return rightM, allM
}

func routesOf(n *matching.Network, points []Point) []int32 {
	routes := make([]int32, len(points))
	m := matching.NewMatcher(n, func(index int, place matching.Place) { routes[index] = place.Route })
	for _, p := range points {
		m.Add(matching.Fix{AtMS: p.AtMS, Lon: p.Lon, Lat: p.Lat, SpeedMPH: p.SpeedMPH})
	}
	m.Flush()
	return routes
}

// Where both know the same roads the product is within a point of the reference, on the same drives.
func TestPlainMatcher(t *testing.T) {
	results := &strings.Builder{}
	t.Run("own", func(t *testing.T) { plainMatcher(t, ownCity(), results) })
	t.Run("real", func(t *testing.T) { plainMatcher(t, realCity(t), results) })
	writeResults(t, "reference", "| roads | noise, m | lasting | every, s | product | reference |\n|---|---|---|---|---|---|\n",
		results.String())
}

func plainMatcher(t *testing.T, c *city, results *strings.Builder) {
	n := networkOf(t, c, true, true)
	for _, row := range positionRows {
		for _, kind := range noises(row.sdM) {
			if row.intervalS == 1 || !isLong && (kind.kind != "both" || row.sdM == 5) {
				continue // the reference takes minutes
			}
			reference := newPlain(c, row.sdM)
			var ours, theirs, all float64
			for i, shift := range c.shifts(1) {
				if i > 2 && !isLong {
					break
				}
				points := c.positions(rand.New(rand.NewPCG(1, uint64(i))), shift, row.intervalS, kind)
				m, whole := rightShare(shift, row.intervalS, routesOf(n, points))
				ours, all = ours+m, all+whole
				m, _ = rightShare(shift, row.intervalS, reference.match(points))
				theirs += m
			}
			t.Logf("%2v m %2v s %-7s product %.4f, reference %.4f", row.sdM, row.intervalS, kind.kind, ours/all, theirs/all)
			fmt.Fprintf(results, "| %s | %v | %s | %v | %.4f | %.4f |\n", c.name, row.sdM, kind.kind, row.intervalS, ours/all, theirs/all)
			require.Greater(t, all, 0.0)
			if kind.kind == "both" {
				assert.GreaterOrEqual(t, ours/all, theirs/all-0.01, "%v m, %v s", row.sdM, row.intervalS)
			}
		}
	}
}
