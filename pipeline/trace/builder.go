package trace

import (
	"math"
	"slices"

	"lanetally/pipeline/matching"
)

const metresAMile = 1609.344

// Pass is one stretch of one route, worked once in one direction.
type Pass struct {
	Route      int32 // index in the network
	First      int   // index of its first position in the trace
	BeganMS    int64
	EndedMS    int64
	FromMi     float64 // route miles, in the direction of travel: FromMi > ToMi against the miles
	ToMi       float64
	Lanes      float64 // mean over the distance; NaN where none was reported
	Activity   Activity
	Material   int32
	Crew       int32
	PlowDown   Tri     // down for most of the time that was reported
	Pounds     int64   // micro-pounds
	Basis      Basis   // NoBasis: pounds are unknown
	Points     int     // positions on the route
	MatchShare float64 // of the positions from the first to the last
	Confidence float64 // mean of the positions': how much likelier this route is than the next best
	Weak       string  // code of why the pass must not count; empty when it may
}

// Counts is what became of the points and pounds of a trace.
type Counts struct {
	Points        int
	OnRoute       int
	OffNetwork    int
	Jumps         int
	Frozen        int
	OffNetworkM   float64 // metres driven off the network
	TravelM       float64 // metres driven on routes without working
	Touches       int     // stretches without length and pounds, left out
	FedULb        int64   // all micro-pounds that went out
	UnplacedULb   int64   // of those, the ones in no pass
	Resets        int
	Wraps         int
	CounterFaults int
}

// Builder turns traces into passes. It belongs to one goroutine.
type Builder struct {
	network      *matching.Network
	settings     Settings
	lanesPerPass []float64
	matcher      *matching.Matcher

	points  []Point
	places  []matching.Place
	stepM   []float64 // distance to the next usable point
	fed     []int64
	bases   []Basis
	works   []work
	usable  []int // indices of points that are somewhere
	counts  Counts
	passes  []Pass
	matched []int
	cuts    []int
}

// NewBuilder makes a builder. lanesPerPass are the lanes that a pass on each route of the network serves where reports leave them out; they
// turn rates into pounds.
func NewBuilder(network *matching.Network, lanesPerPass []float64, settings Settings) *Builder {
	b := &Builder{network: network, settings: settings, lanesPerPass: lanesPerPass}
	b.matcher = matching.NewMatcher(network, func(index int, place matching.Place) { b.places[index] = place })
	return b
}

// Build makes the passes of one trace, in time order. The slice is valid until the next call. Points are in time order, each later than
// the one before.
func (b *Builder) Build(points []Point) ([]Pass, Counts) {
	n := len(points)
	b.points, b.passes, b.counts = points, b.passes[:0], Counts{Points: n}
	b.places = slices.Grow(b.places[:0], n)[:n]
	b.stepM = slices.Grow(b.stepM[:0], n)[:n]
	b.fed = slices.Grow(b.fed[:0], n)[:n]
	b.bases = slices.Grow(b.bases[:0], n)[:n]
	b.works = slices.Grow(b.works[:0], n)[:n]
	for i := range points {
		p := &points[i]
		b.matcher.Add(matching.Fix{AtMS: p.AtMS, Lon: p.Lon, Lat: p.Lat, SpeedMPH: p.SpeedMPH})
	}
	b.matcher.Flush()
	b.measure()
	b.feed()
	b.observe()
	for i := range b.fed {
		b.counts.FedULb += b.fed[i]
	}
	b.counts.UnplacedULb = b.counts.FedULb
	b.runs()
	return b.passes, b.counts
}

// measure lists the usable points and the distance from each to the next.
func (b *Builder) measure() {
	b.usable = b.usable[:0]
	for i := range b.places {
		b.stepM[i] = 0
		switch b.places[i].Kind {
		case matching.OnRoute:
			b.counts.OnRoute++
		case matching.OffNetwork:
			b.counts.OffNetwork++
		case matching.Jump:
			b.counts.Jumps++
			continue
		case matching.Frozen:
			b.counts.Frozen++
			continue
		default:
			continue
		}
		if k := len(b.usable); k > 0 {
			before := b.usable[k-1]
			b.stepM[before] = b.distanceM(before, i)
		}
		b.usable = append(b.usable, i)
	}
}

// distanceM is the way between two points: along the routes where both are on them, else straight.
func (b *Builder) distanceM(i, k int) float64 {
	p, q := &b.places[i], &b.places[k]
	if p.Route >= 0 && p.Route == q.Route && !b.crossesJoint(i, k) {
		return math.Abs(q.AlongM - p.AlongM)
	}
	straightM := b.straightM(i, k)
	if p.Route < 0 || q.Route < 0 {
		b.counts.OffNetworkM += straightM
		return straightM
	}
	if dist, _, _, ok := b.network.Through(p.Route, p.AlongM, q.Route, q.AlongM); ok {
		return max(dist, straightM)
	}
	return straightM
}

func (b *Builder) straightM(i, k int) float64 {
	p, q := &b.points[i], &b.points[k]
	return matching.StraightM(p.Lon, p.Lat, q.Lon, q.Lat)
}
