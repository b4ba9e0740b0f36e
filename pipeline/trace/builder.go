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
	MatchShare float64 // of the usable positions from the first to the last
	Confidence float64 // mean of the positions': how much likelier this route is than the next best
	BesideMi   float64 // miles whose positions lie farther beside the line than noise explains
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
	NoiseM        float64 // standard deviation of the positions across their routes, metres; NaN where none is on one
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
	usable  []int   // indices of points that are somewhere
	turnM   float64 // what makes a turn in this trace
	isPaced bool    // the reported speeds are those that the positions show
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

// Places are where the points of the last trace were found to be; valid until the next call of Build.
func (b *Builder) Places() []matching.Place { return b.places }

// measure lists the usable points and the distance from each to the next.
func (b *Builder) measure() {
	b.usable = b.usable[:0]
	var offsets [128]int
	for i := range b.places {
		b.stepM[i] = 0
		switch b.places[i].Kind {
		case matching.OnRoute:
			b.counts.OnRoute++
			offsets[min(int(b.places[i].OffsetM), len(offsets)-1)]++
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
		b.usable = append(b.usable, i)
	}
	b.counts.NoiseM = noiseOf(offsets[:], b.counts.OnRoute)
	b.turnM = b.settings.TurnM
	if least := turnNoises * b.counts.NoiseM; least > b.turnM {
		b.turnM = least
	}
	b.stride()
}

// A truck has turned where it goes back by more than turnNoises standard deviations of its positions.
const turnNoises = 5

// noiseOf is the standard deviation of normal errors whose sizes have the median of offsets, counted by whole metres.
func noiseOf(offsets []int, count int) float64 {
	const quartile = 0.6745 // of the standard normal distribution
	below := 0
	for metre, n := range offsets {
		if 2*(below+n) >= count && n > 0 {
			return (float64(metre) + float64(count-2*below)/float64(2*n)) / quartile
		}
		below += n
	}
	return math.NaN()
}

// strideMS: positions nearer in time than this are noisy steps; the way is measured over as long, and shared out by time.
const strideMS = 5000

// stride measures the way from each usable point to the next.
func (b *Builder) stride() {
	shownM, reportedM, from := 0.0, 0.0, 0
	for k := 1; k < len(b.usable); k++ {
		first, i := b.usable[from], b.usable[k]
		ms := b.points[i].AtMS - b.points[first].AtMS
		isSame := b.places[i].Road == b.places[first].Road
		if k+1 < len(b.usable) && ms < strideMS && isSame {
			continue
		}
		wayM := b.distanceM(first, i)
		for ; from < k; from++ {
			here, next := b.usable[from], b.usable[from+1]
			b.stepM[here] = wayM * float64(b.points[next].AtMS-b.points[here].AtMS) / float64(ms)
			if paceM := b.paceM(here, next); !math.IsNaN(paceM) {
				shownM, reportedM = shownM+b.stepM[here], reportedM+paceM
			}
		}
	}
	b.isPaced = reportedM > shownM/fairPace && reportedM < shownM*fairPace
}

// fairPace: reported speeds that differ by more than this from what the positions show are in another unit, or wrong.
const fairPace = 1.5

// paceM is how far the truck went from one point to the next by the speeds that it reported, NaN where it reported none.
func (b *Builder) paceM(i, next int) float64 {
	p, q := &b.points[i], &b.points[next]
	return (p.SpeedMPH + q.SpeedMPH) / 2 * metresAMile / 3600 * float64(q.AtMS-p.AtMS) / 1000
}

// distanceM is the way between two points: along the roads where both are on them, else straight.
func (b *Builder) distanceM(i, k int) float64 {
	p, q := &b.places[i], &b.places[k]
	if p.Route >= 0 && p.Route == q.Route && !b.crossesJoint(i, k) {
		return math.Abs(q.AlongM - p.AlongM)
	}
	straightM := b.straightM(i, k)
	if p.Route < 0 || q.Route < 0 {
		b.counts.OffNetworkM += straightM
	}
	if dist, _, _, ok := b.through(i, k); ok {
		return max(dist, straightM)
	}
	return straightM
}

// through is the way along the roads from one point to another, and where it leaves the first road and joins the second.
func (b *Builder) through(i, k int) (distM, exitM, entryM float64, ok bool) {
	p, q := &b.places[i], &b.places[k]
	if p.Road < 0 || q.Road < 0 {
		return 0, 0, 0, false
	}
	if i > k {
		distM, entryM, exitM, ok = b.matcher.Through(q, p, b.points[i].AtMS-b.points[k].AtMS)
		return distM, exitM, entryM, ok
	}
	return b.matcher.Through(p, q, b.points[k].AtMS-b.points[i].AtMS)
}

func (b *Builder) straightM(i, k int) float64 {
	p, q := &b.points[i], &b.points[k]
	return matching.StraightM(p.Lon, p.Lat, q.Lon, q.Lat)
}
