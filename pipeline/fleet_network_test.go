package pipeline

import (
	"math"
	"math/rand/v2"
)

// The roads lie on a bent grid: towns about townsM apart, a route from each to its neighbours east and north.
const (
	originLon, originLat = -98.0, 42.0
	townsM               = 9000
	pieceM               = 120 // between two positions of a line
)

// road is a route: its line, in metres east and north of the origin, and how far along it each position lies.
type road struct {
	from, to int // towns
	x, y     []float64
	alongM   []float64
}

func (r *road) lengthM() float64 { return r.alongM[len(r.alongM)-1] }

func (r *road) lengthMi() float64 { return math.Round(r.lengthM()/metresAMile*1000) / 1000 }

const metresAMile = 1609.344

// network is the roads, and which of them meet in each town.
type network struct {
	roads []road
	towns [][]int
}

// newNetwork lays out about two routes a truck.
func newNetwork(trucks int, seed uint64) *network {
	random := rand.New(rand.NewPCG(seed<<8, 0)) // #nosec G404 -- invented data, the same for a seed
	side := 2 + int(math.Ceil(math.Sqrt(float64(trucks))))
	x, y := make([]float64, side*side), make([]float64, side*side)
	for i := range x {
		x[i] = townsM * (float64(i%side) + 0.3*random.Float64())
		y[i] = townsM * (float64(i/side) + 0.3*random.Float64())
	}
	n := &network{towns: make([][]int, side*side)}
	for town := range x {
		if town%side+1 < side {
			n.add(x, y, town, town+1, random)
		}
		if town+side < len(x) {
			n.add(x, y, town, town+side, random)
		}
	}
	return n
}

// add draws a route between two towns, with bends that vanish at its ends.
func (n *network) add(x, y []float64, from, to int, random *rand.Rand) {
	r := road{from: from, to: to}
	dx, dy := x[to]-x[from], y[to]-y[from]
	straight := math.Hypot(dx, dy)
	pieces := int(straight / pieceM)
	bend, turns, slant := 40+400*random.Float64(), 1+random.IntN(5), random.Float64()
	for i := range pieces + 1 {
		share := float64(i) / float64(pieces)
		side := bend * math.Sin(math.Pi*share) * math.Sin(2*math.Pi*(float64(turns)*share+slant)) / straight
		r.x = append(r.x, x[from]+dx*share-dy*side)
		r.y = append(r.y, y[from]+dy*share+dx*side)
		along := 0.0
		if i > 0 {
			along = r.alongM[i-1] + math.Hypot(r.x[i]-r.x[i-1], r.y[i]-r.y[i-1])
		}
		r.alongM = append(r.alongM, along)
	}
	n.towns[from] = append(n.towns[from], len(n.roads))
	n.towns[to] = append(n.towns[to], len(n.roads))
	n.roads = append(n.roads, r)
}

// chain is the routes of a truck: three, each going on where the one before ends, none twice.
func (n *network) chain(random *rand.Rand, truck int) []int {
	first := truck * len(n.roads) / max(1, truck+1)
	first = (first + random.IntN(len(n.roads))) % len(n.roads)
	chain, town := []int{first}, n.roads[first].to
	for len(chain) < 3 {
		next := n.towns[town][random.IntN(len(n.towns[town]))]
		if next == chain[len(chain)-1] {
			continue
		}
		chain = append(chain, next)
		town = n.otherEnd(next, town)
	}
	return chain
}

func (n *network) otherEnd(road, town int) int {
	if n.roads[road].from == town {
		return n.roads[road].to
	}
	return n.roads[road].from
}

// degrees turns metres east and north of the origin into longitude and latitude.
func degrees(x, y float64) (lon, lat float64) {
	lat = originLat + y/111_100
	return originLon + x/(111_320*math.Cos(lat*math.Pi/180)), lat
}
