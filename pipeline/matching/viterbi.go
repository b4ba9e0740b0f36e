package matching

import "math"

// maxStates is how many places are weighed for one position, off the network included.
const maxStates = 12

// state is one of the places where a position may have been, with the cost of the best sequence that ends there.
type state struct {
	alongM  float64
	cost    float64
	distM   float32
	route   int32
	segment int32
	back    int8 // the state before it in that sequence
	root    int8 // the state of that sequence in the watched column
}

// column is the states of one position.
type column struct {
	index      int
	n          int
	least      float64 // cost of the best state
	leastRoute int32
	other      float64 // cost of the best state on another route than that
	states     [maxStates]state
}

func (c *column) best() int8 {
	best := 0
	for i := 1; i < c.n; i++ {
		if c.states[i].cost < c.states[best].cost {
			best = i
		}
	}
	return int8(best)
}

// chain is the columns whose places are not told yet, in a ring. All sequences are watched for where they come from in one column; once
// they agree, it and all before it are certain.
type chain struct {
	ring               []column
	path               []int8
	count, told, watch int
}

func newChain(maxLag int) chain {
	maxLag = max(maxLag, 4)
	return chain{ring: make([]column, maxLag), path: make([]int8, maxLag)}
}

func (c *chain) column(i int) *column { return &c.ring[i%len(c.ring)] }

// step weighs the states of a position against those of the one before it.
func (m *Matcher) step(index int, fix Fix) {
	c := &m.chain
	current := c.column(c.count)
	current.index = index
	m.find(current, fix)
	if c.count == 0 {
		m.begin(current)
	} else {
		m.extend(c.column(c.count-1), current, fix)
	}
	current.rank()
	c.count++
	m.settle(current)
}

// find lists the states of a position with their emission costs: off the network first, then of each route the nearest place, twice
// where the route comes by twice.
func (m *Matcher) find(current *column, fix Fix) {
	current.n = 1
	current.states[0] = state{route: NoRoute, cost: m.settings.offCost}
	for _, index := range m.cells.around(fix.Lon, fix.Lat) {
		s := &m.network.segments[index]
		along, dist := s.project(fix.Lon, fix.Lat)
		if dist > m.settings.RadiusM {
			continue
		}
		current.take(state{alongM: s.alongM + along, distM: float32(dist), route: s.route, segment: index}, 2*m.settings.RadiusM)
	}
	for i := 1; i < current.n; i++ {
		current.states[i].cost = m.settings.emissionCost(float64(current.states[i].distM))
	}
}

// take adds a state, in place of a farther one of the same stretch of road, or of the farthest where there is no room.
func (c *column) take(s state, stretchM float64) {
	farthest := 0
	for i := 1; i < c.n; i++ {
		known := &c.states[i]
		if known.route == s.route && math.Abs(known.alongM-s.alongM) < stretchM {
			if s.distM < known.distM {
				*known = s
			}
			return
		}
		if farthest == 0 || known.distM > c.states[farthest].distM {
			farthest = i
		}
	}
	if c.n < maxStates {
		c.states[c.n] = s
		c.n++
	} else if s.distM < c.states[farthest].distM {
		c.states[farthest] = s
	}
}

func (m *Matcher) begin(current *column) {
	for i := range current.n {
		current.states[i].back, current.states[i].root = -1, int8(i)
	}
	m.chain.told, m.chain.watch = 0, 0
}

// move is the way between two positions: straight distance, its direction, the time, and what detours and headings weigh.
type move struct {
	distM        float64
	ux, uy       float64
	seconds      float64
	inverseBetaM float64
	headingCost  float64
}

func (m *Matcher) moveTo(fix Fix) move {
	east, north, dist := m.scale.distM(m.last.Lon, m.last.Lat, fix.Lon, fix.Lat)
	v := move{distM: dist, seconds: float64(fix.AtMS-m.last.AtMS) / 1000}
	v.inverseBetaM = 1 / (m.settings.DetourM * max(1, v.seconds/m.settings.StepS))
	if dist > 0 {
		v.ux, v.uy = east/dist, north/dist
		v.headingCost = m.settings.HeadingCost * dist / (dist + 3*m.settings.NoiseM)
	}
	return v
}

// extend finds for each state the best of the states before it.
func (m *Matcher) extend(before, current *column, fix Fix) {
	v := m.moveTo(fix)
	isWatched := m.chain.count-1 == m.chain.watch
	kept := 0
	limit := math.Inf(1)
	for i := range current.n {
		to := current.states[i]
		bestCost, bestBack := math.Inf(1), int8(0)
		most := m.mostCost(before, &to, &v)
		for k := range before.n {
			from := &before.states[k]
			if from.cost >= bestCost || from.route != to.route && from.cost+m.settings.changeCost > most {
				continue
			}
			if cost := from.cost + m.transition(from, &to, &v); cost < bestCost {
				bestCost, bestBack = cost, int8(k)
			}
		}
		if to.route != NoRoute {
			s := &m.network.segments[to.segment]
			bestCost += v.headingCost * (1 - math.Abs(v.ux*s.ux+v.uy*s.uy))
		}
		to.cost += bestCost
		if to.cost > limit {
			continue
		}
		limit = min(limit, to.cost+m.settings.beamCost)
		to.back, to.root = bestBack, before.states[bestBack].root
		if isWatched {
			to.root = bestBack
		}
		current.states[kept] = to
		kept++
	}
	current.n = kept
}

// mostCost is what the best sequence to a state costs at most: that of going on along its route. It spares the ways from other routes.
func (m *Matcher) mostCost(before *column, to *state, v *move) float64 {
	most := math.Inf(1)
	for k := range before.n {
		if from := &before.states[k]; from.route == to.route {
			most = min(most, from.cost+m.alongCost(from, to, v))
		}
	}
	return most
}

// alongCost is the cost of staying on a route, or off all of them.
func (m *Matcher) alongCost(from, to *state, v *move) float64 {
	if to.route == NoRoute {
		return 0
	}
	return min(m.settings.shortcutCost, math.Abs(math.Abs(to.alongM-from.alongM)-v.distM)*v.inverseBetaM)
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
	dist, ok := m.network.wayM(from.route, from.alongM, to.route, to.alongM)
	if !ok || dist > s.MaxSpeedMS*v.seconds+8*s.NoiseM {
		return s.shortcutCost
	}
	return min(s.shortcutCost, junctionCost+math.Abs(dist-v.distM)*v.inverseBetaM)
}

// rank notes the best state and the best on another route.
func (c *column) rank() {
	c.least, c.other, c.leastRoute = math.Inf(1), math.Inf(1), NoRoute
	for i := range c.n {
		if s := &c.states[i]; s.cost < c.least {
			c.least, c.leastRoute = s.cost, s.route
		}
	}
	for i := range c.n {
		if s := &c.states[i]; s.route != c.leastRoute && s.cost < c.other {
			c.other = s.cost
		}
	}
}

// settle tells what is certain by now. After MaxLag positions without agreement the best sequence is taken.
func (m *Matcher) settle(current *column) {
	c := &m.chain
	latest := c.count - 1
	if latest == c.watch {
		return
	}
	root := current.states[0].root
	agreed := true
	for i := 1; i < current.n && agreed; i++ {
		agreed = current.states[i].root == root
	}
	if !agreed {
		if c.count-c.told < len(c.ring) {
			return
		}
		root = current.states[current.best()].root
		current.keepRoot(root)
	}
	m.tellUpTo(c.watch, root)
	c.watch = latest
	for i := range current.n {
		current.states[i].root = int8(i)
	}
}

func (c *column) keepRoot(root int8) {
	kept := 0
	for i := range c.n {
		if c.states[i].root == root {
			c.states[kept] = c.states[i]
			kept++
		}
	}
	c.n = kept
}

// tellUpTo tells the places of the sequence that ends in a state of a column, from the first not told.
func (m *Matcher) tellUpTo(last int, at int8) {
	c := &m.chain
	for i := last; i >= c.told; i-- {
		c.path[i%len(c.path)] = at
		at = c.column(i).states[at].back
	}
	for i := c.told; i <= last; i++ {
		column := c.column(i)
		m.tell(column.index, column.place(c.path[i%len(c.path)]))
	}
	c.told = last + 1
}

func (c *column) place(at int8) Place {
	s := &c.states[at]
	other := c.least
	if s.route == c.leastRoute {
		other = c.other
	}
	confidence := 1.0
	if margin := other - s.cost; margin < 20 {
		confidence = 1 / (1 + math.Exp(-margin))
	}
	if s.route == NoRoute {
		return Place{Route: NoRoute, Kind: OffNetwork, Confidence: float32(confidence)}
	}
	return Place{Route: s.route, AlongM: s.alongM, OffsetM: s.distM, Confidence: float32(confidence), Kind: OnRoute}
}
