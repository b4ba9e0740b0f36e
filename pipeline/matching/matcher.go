package matching

// Fix is a reported position: Unix milliseconds, degrees (WGS 84), miles per hour. A speed that was not reported is NaN.
type Fix struct {
	AtMS     int64
	Lon, Lat float64
	SpeedMPH float64
}

// Kind says what became of a position.
type Kind uint8

// The kinds of places.
const (
	OffNetwork Kind = iota // on no route
	OnRoute                // on a route
	Repeated               // not later than the one before it
	Jump                   // nowhere the truck can have been
	Frozen                 // unchanged although the truck reports that it drives
)

// NoRoute is the route of a place that is on none.
const NoRoute int32 = -1

// Place is where a position was found to be. Road is NoRoute and the numbers are 0 where it is on no road; Route is NoRoute unless Kind is
// OnRoute.
type Place struct {
	AlongM     float64 // metres from the road's begin
	OffsetM    float32 // distance from the road, metres
	Confidence float32 // 0 to 1: how much likelier this route, or none, is than the next best, by all positions
	Route      int32   // index in the network
	Road       int32   // the same, other roads too
	Kind       Kind
}

// Matcher matches the positions of one truck, given in time order. Each is told once, by the number of its Add counted from 0: unusable
// ones at once, the others in order.
type Matcher struct {
	network  *Network
	settings *Settings
	tell     func(index int, place Place)
	cells    cells
	ways     ways
	scale    bandScale
	count    int

	last      Fix // latest usable position
	hasLast   bool
	previous  Fix // latest position, usable or not
	strange   Fix // latest jump
	strangeNo int

	columns []column
	states  []state // of all columns
	between []numbered
}

// numbered is a position that is no column, with the number of its Add.
type numbered struct {
	fix   Fix
	index int
}

// NewMatcher makes a matcher that tells each place to tell.
func NewMatcher(network *Network, tell func(index int, place Place)) *Matcher {
	return &Matcher{network: network, settings: &network.settings, tell: tell, cells: newCells(network), ways: newWays(network)}
}

// Add takes the next position. It must be a place on earth.
func (m *Matcher) Add(fix Fix) {
	index := m.count
	m.count++
	if m.hasLast {
		if kind := m.fault(fix); kind != OnRoute {
			m.tell(index, Place{Route: NoRoute, Road: NoRoute, Kind: kind})
			return
		}
	}
	m.strangeNo = 0
	m.step(index, fix)
	m.last, m.previous, m.hasLast = fix, fix, true
}

// fault says why a position is unusable, or OnRoute where it may be used. A long silence, or several jumps to one place, begin anew; a
// receiver that is frozen for long stays so.
func (m *Matcher) fault(fix Fix) Kind {
	before := m.previous
	if fix.AtMS <= before.AtMS {
		return Repeated
	}
	m.previous = fix
	if fix.Lon == before.Lon && fix.Lat == before.Lat && fix.SpeedMPH >= m.settings.FrozenMPH {
		return Frozen
	}
	if fix.AtMS-m.last.AtMS > int64(m.settings.BreakS*1000) {
		m.finish()
		return OnRoute
	}
	if m.isReachable(m.last, fix) {
		return OnRoute
	}
	if m.strangeNo > 0 && m.isReachable(m.strange, fix) {
		m.strangeNo++
	} else {
		m.strangeNo = 1
	}
	m.strange = fix
	if m.strangeNo >= m.settings.JumpPoints {
		m.finish()
		return OnRoute
	}
	return Jump
}

// isReachable: a truck can have gone from one to the other, give or take the noise of both.
func (m *Matcher) isReachable(from, to Fix) bool {
	_, _, dist := m.scale.distM(from.Lon, from.Lat, to.Lon, to.Lat)
	return dist <= m.settings.farthestM(float64(to.AtMS-from.AtMS)/1000)
}

// Through is the shortest way along the roads from one place to another that a truck can have driven in so many milliseconds: its length,
// and where it leaves the first road for good and joins the second, all in metres. ok is false when there is none, or when the joints
// around the two places are more than JunctionMaxM apart.
func (m *Matcher) Through(from, to *Place, ms int64) (distM, exitM, entryM float64, ok bool) {
	return m.ways.through(from.Road, from.AlongM, to.Road, to.AlongM, m.settings.farthestM(float64(ms)/1000))
}

// Flush tells all places not told yet and begins anew, for another truck or a later day. The count begins at 0 again.
func (m *Matcher) Flush() {
	m.finish()
	m.count, m.hasLast, m.strangeNo = 0, false, 0
}
