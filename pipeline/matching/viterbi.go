package matching

import "math"

// maxStates is how many places are weighed for one position, off the network included.
const maxStates = 12

// state is one of the places where a position may have been, with the costs of the best sequences that end and begin there.
type state struct {
	alongM  float64
	cost    float64 // of the best sequence that ends here
	after   float64 // of the best that goes on from here
	own     float64 // of the position itself, part of cost
	distM   float32
	route   int32
	segment int32
	back    int8 // the state before it in the best sequence
}

// column is the states of one position. Positions that tell little more than the one before have none.
type column struct {
	fix      Fix
	index    int
	first, n int // its states
}

func (m *Matcher) statesOf(c *column) []state { return m.states[c.first : c.first+c.n] }

// step weighs the states of a position against those of the one before it.
func (m *Matcher) step(index int, fix Fix) {
	if n := len(m.columns); n > 0 {
		before := &m.columns[n-1]
		_, _, dist := m.scale.distM(before.fix.Lon, before.fix.Lat, fix.Lon, fix.Lat)
		seconds := float64(fix.AtMS-before.fix.AtMS) / 1000
		if seconds < m.settings.StepS && (seconds < m.settings.SpacingS || dist < m.settings.spacingM) {
			m.between = append(m.between, numbered{fix, index})
			return
		}
	}
	current := column{fix: fix, index: index, first: len(m.states)}
	m.find(&current)
	if len(m.columns) > 0 {
		m.extend(&m.columns[len(m.columns)-1], &current)
	}
	m.states = m.states[:current.first+current.n]
	m.columns = append(m.columns, current)
}

// find lists the states of a position with their emission costs: off the network first, then of each road the nearest place, twice
// where the road comes by twice.
func (m *Matcher) find(current *column) {
	m.states = append(m.states, state{route: NoRoute, own: m.settings.offCost})
	fix := &current.fix
	for _, index := range m.cells.around(fix.Lon, fix.Lat) {
		s := &m.network.segments[index]
		along, dist := s.project(fix.Lon, fix.Lat)
		if dist <= m.settings.RadiusM {
			m.take(current.first, state{alongM: s.alongM + along, distM: float32(dist), route: s.route, segment: index})
		}
	}
	current.n = len(m.states) - current.first
	states := m.statesOf(current)
	for i := range states {
		s := &states[i]
		if s.route != NoRoute {
			s.own = m.settings.emissionCost(float64(s.distM))
			if m.network.routes[s.route].isOther {
				s.own += m.settings.OtherCost
			}
		}
		s.cost, s.back = s.own, -1
	}
}

// take adds a state to those from first on, in place of a farther one of the same stretch of road, or of the farthest where there is no
// room.
func (m *Matcher) take(first int, s state) {
	states, stretchM, farthest := m.states[first:], 2*m.settings.RadiusM, 0
	for i := 1; i < len(states); i++ {
		known := &states[i]
		if known.route == s.route && math.Abs(known.alongM-s.alongM) < stretchM {
			if s.distM < known.distM {
				*known = s
			}
			return
		}
		if farthest == 0 || known.distM > states[farthest].distM {
			farthest = i
		}
	}
	if len(states) < maxStates {
		m.states = append(m.states, s)
	} else if s.distM < states[farthest].distM {
		states[farthest] = s
	}
}

// move is the way between two positions: straight distance, its direction, the time, and what detours and headings weigh.
type move struct {
	distM        float64
	ux, uy       float64
	limitM       float64 // no way can be longer
	inverseBetaM float64
	certain      float64 // 0 to 1: how far its direction is more than noise
}

func (m *Matcher) moveBetween(from, to *Fix) move {
	east, north, dist := m.scale.distM(from.Lon, from.Lat, to.Lon, to.Lat)
	seconds := float64(to.AtMS-from.AtMS) / 1000
	v := move{distM: dist, limitM: m.settings.farthestM(seconds)}
	v.inverseBetaM = 1 / (m.settings.DetourM * max(1, seconds/m.settings.StepS))
	if dist > 0 {
		v.ux, v.uy = east/dist, north/dist
		noiseM := 3 * m.settings.NoiseM
		v.certain = dist * dist / (dist*dist + noiseM*noiseM)
	}
	return v
}

// headingCost is the cost of moving in another direction than the road's: on a road that is driven one way alone against it too.
func (m *Matcher) headingCost(to *state, v *move) float64 {
	s := &m.network.segments[to.segment]
	along := v.ux*s.ux + v.uy*s.uy
	if !s.oneWay {
		along = math.Abs(along)
	}
	return m.settings.HeadingCost * v.certain * (1 - along)
}

// extend finds for each state the best of the states before it.
func (m *Matcher) extend(before, current *column) {
	v := m.moveBetween(&before.fix, &current.fix)
	earlier, states := m.statesOf(before), m.statesOf(current)
	kept := 0
	limit := math.Inf(1)
	for i := range states {
		to := states[i]
		bestCost, bestBack := math.Inf(1), int8(0)
		most := m.mostCost(earlier, &to, &v)
		for k := range earlier {
			from := &earlier[k]
			if from.cost >= bestCost || from.route != to.route && from.cost+m.settings.changeCost > most {
				continue
			}
			if cost := from.cost + m.transition(from, &to, &v); cost < bestCost {
				bestCost, bestBack = cost, int8(k)
			}
		}
		if to.route != NoRoute {
			to.own += m.headingCost(&to, &v)
		}
		to.cost = to.own + bestCost
		if to.cost > limit {
			continue
		}
		limit = min(limit, to.cost+m.settings.beamCost)
		to.back = bestBack
		states[kept] = to
		kept++
	}
	current.n = kept
}

// mostCost is what the best sequence to a state costs at most: that of going on along its route. It spares the ways from other routes.
func (m *Matcher) mostCost(earlier []state, to *state, v *move) float64 {
	most := math.Inf(1)
	for k := range earlier {
		if from := &earlier[k]; from.route == to.route {
			most = min(most, from.cost+m.alongCost(from, to, v))
		}
	}
	return most
}

// alongCost is the cost of staying on a road, or off all of them. Back on a road that is driven one way alone costs the way there and back.
func (m *Matcher) alongCost(from, to *state, v *move) float64 {
	if to.route == NoRoute {
		return 0
	}
	along := to.alongM - from.alongM
	cost := math.Abs(math.Abs(along) - v.distM)
	if along < 0 && m.network.routes[to.route].oneWay {
		cost -= 2 * along * v.certain
	}
	return min(m.settings.shortcutCost, cost*v.inverseBetaM)
}

// junctionCost is what a change of route where they meet costs at least.
const junctionCost = 1

// transition is the cost of coming from one state to another: the difference of road and straight distance over its mean (Newson and
// Krumm's exponential law), but never more than leaving the road and joining it again.
func (m *Matcher) transition(from, to *state, v *move) float64 {
	s := m.settings
	switch {
	case from.route == NoRoute && to.route == NoRoute:
		return 0
	case from.route == NoRoute || to.route == NoRoute:
		return s.SwitchCost
	case from.route == to.route:
		if cost := m.alongCost(from, to, v); cost < s.shortcutCost {
			return cost
		}
	}
	dist, ok := m.ways.wayM(from.route, from.alongM, to.route, to.alongM, v.limitM)
	if !ok {
		return s.shortcutCost
	}
	return min(s.shortcutCost, junctionCost+math.Abs(dist-v.distM)*v.inverseBetaM)
}

// certainCost: a sequence this much worse than the best tells nothing of it.
const certainCost = 20

// finish tells the places of the most likely sequence, each with how certain it is by all positions before and after: forward and
// backward over the columns, as in the most likely explanation that goes through a state (max-product; Rabiner 1989, "A tutorial on
// hidden Markov models", the backward pass with the best in place of the sum).
func (m *Matcher) finish() {
	last := len(m.columns) - 1
	if last < 0 {
		return
	}
	places := make([]Place, last+1)
	best := 0
	ends := m.statesOf(&m.columns[last])
	for i := range ends {
		ends[i].after = 0
		if ends[i].cost < ends[best].cost {
			best = i
		}
	}
	for at, k := best, last; k >= 0; k-- {
		states := m.statesOf(&m.columns[k])
		places[k] = m.placeOf(states, at)
		if k > 0 {
			m.lookBack(&m.columns[k-1], &m.columns[k], ends[best].cost+certainCost)
			at = int(states[at].back)
		}
	}
	m.tellAll(places)
	m.columns, m.states, m.between = m.columns[:0], m.states[:0], m.between[:0]
}

// lookBack fills after of the states before those of a column. Sequences that cost more than most are of no account, and none of those
// that cost less goes through a state where all cost more.
func (m *Matcher) lookBack(before, current *column, most float64) {
	v := m.moveBetween(&before.fix, &current.fix)
	earlier, states := m.statesOf(before), m.statesOf(current)
	for k := range earlier {
		from := &earlier[k]
		from.after = math.Inf(1)
		for i := range states {
			to := &states[i]
			rest := to.own + to.after
			if to.cost+to.after > most || rest >= from.after || from.cost+rest > most {
				continue
			}
			from.after = min(from.after, rest+m.transition(from, to, &v))
		}
	}
}

// placeOf is the place of a state; it is as certain as the best sequence through it is likelier than the best through another route.
func (m *Matcher) placeOf(states []state, at int) Place {
	s := &states[at]
	other, isRoute := math.Inf(1), m.network.IsRoute(s.route)
	for i := range states {
		if rival := &states[i]; rival.route != s.route && (isRoute || m.network.IsRoute(rival.route)) {
			other = min(other, rival.cost+rival.after)
		}
	}
	confidence := 1.0
	if margin := other - s.cost - s.after; margin < certainCost {
		confidence = 1 / (1 + math.Exp(-margin))
	}
	return m.network.place(s.route, s.alongM, s.distM, float32(confidence))
}

func (n *Network) place(road int32, alongM float64, distM, confidence float32) Place {
	place := Place{Road: road, Route: NoRoute, AlongM: alongM, OffsetM: distM, Confidence: confidence}
	if n.IsRoute(road) {
		place.Route, place.Kind = road, OnRoute
	}
	return place
}

// tellAll tells the places of the columns, and of each position between two of them its place on the road of the nearer in time.
func (m *Matcher) tellAll(places []Place) {
	k := 0
	for i := range m.columns {
		for ; k < len(m.between) && m.between[k].index < m.columns[i].index; k++ {
			fix, near := m.between[k].fix, i
			if 2*fix.AtMS < m.columns[i-1].fix.AtMS+m.columns[i].fix.AtMS {
				near = i - 1
			}
			m.tell(m.between[k].index, m.beside(fix, places[near]))
		}
		m.tell(m.columns[i].index, places[i])
	}
	for ; k < len(m.between); k++ {
		m.tell(m.between[k].index, m.beside(m.between[k].fix, places[len(places)-1]))
	}
}

// beside is where on the road of a place near in time a position lies.
func (m *Matcher) beside(fix Fix, near Place) Place {
	if near.Road == NoRoute {
		return near
	}
	along, best := near.AlongM, math.Inf(1)
	for _, index := range m.cells.around(fix.Lon, fix.Lat) {
		s := &m.network.segments[index]
		if s.route != near.Road {
			continue
		}
		on, dist := s.project(fix.Lon, fix.Lat)
		if dist < best && math.Abs(s.alongM+on-near.AlongM) < 2*m.settings.RadiusM {
			along, best = s.alongM+on, dist
		}
	}
	return m.network.place(near.Road, along, float32(min(best, m.settings.RadiusM)), near.Confidence)
}
