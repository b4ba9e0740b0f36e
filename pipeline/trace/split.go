package trace

import "math"

// Settings are the rules by which traces and passes end.
type Settings struct {
	PassGapMin float64 // a stop or a silence longer than this ends a trace, minutes
	SpreadGapS float64 // spreading or plowing that rests no longer than this goes on, seconds
	MatchMin   float64 // least matched share and confidence of a pass that counts
	ParkedM    float64 // a truck within this distance of a place stands there, metres
	TurnM      float64 // a truck that goes back this far has turned round, metres
	BridgeS    float64 // a truck that is back on the route within this time, and surely drove along no other, has not left it, seconds
	// CounterTurns are the readings, in pounds, at which a counter may start again at 0.
	CounterTurns []float64
	// CounterDipLb: a counter that fell by no more than this was neither full nor set to 0, pounds.
	CounterDipLb float64
	// MaxFlowLbS is more than a spreader can put out, pounds a second; a counter that rises faster was set by hand.
	MaxFlowLbS float64
}

// PassGapMS is PassGapMin in milliseconds.
func (s *Settings) PassGapMS() int64 { return int64(s.PassGapMin * 60_000) }

// DefaultSettings: 10 min, 60 s and 0.6 are the project's definitions; the others our choice, held to the accuracy tests. 2,000 lb/lane-mi
// on three lanes at 45 mph is 75 lb/s; counters of 16 bits, of five and of six digits, whose last digit may waver, are common practice.
func DefaultSettings() Settings {
	return Settings{
		PassGapMin: 10, SpreadGapS: 60, MatchMin: 0.6, ParkedM: 60, TurnM: 80, BridgeS: 60,
		CounterTurns: []float64{65536, 100000, 1000000}, CounterDipLb: 1, MaxFlowLbS: 100,
	}
}

// A trace that has lasted longTraceMS is cut at the next noon UTC, so that no trace is longer than MaxTraceMS. Where it is cut hardly
// depends on where it began, so that a late position cannot shift the cuts of days to come.
const (
	dayMS       = int64(24 * 3600 * 1000)
	longTraceMS = dayMS * 3 / 4
	MaxTraceMS  = longTraceMS + dayMS
)

// EvidencePoints are the points at the begin of a trace that tell that the one before it ended: the stop's last, and two elsewhere.
const EvidencePoints = 3

// A truck that reports at most parkedMPH stands where it stood, even when its positions scatter up to parkedScatterM.
const (
	parkedMPH      = 1
	parkedScatterM = 250
	metresADegree  = 111_195 // of latitude, on the mean sphere; for telling rest from motion this will do
)

// Splitter cuts the points of one truck, given in order, into traces. Every point belongs to one trace. While a truck stands for longer
// than PassGapMin its points belong to the trace that ended there, but for the last, with which the next trace begins. What told that the
// truck left lies in that next trace, since no trace that ends at a stop is shorter: so traces that follow each other are cut alike without
// those after them.
type Splitter struct {
	settings Settings
	yield    func(points []Point)
	points   []Point
	anchor   int // since when the truck stands
	astray   int // the last point, where it is the only one since then that lies elsewhere; else -1
}

// NewSplitter gives each trace to yield; the slice is valid until yield returns.
func NewSplitter(settings Settings, yield func(points []Point)) *Splitter {
	return &Splitter{settings: settings, yield: yield, astray: -1}
}

// Add takes the next point, later than the one before.
func (s *Splitter) Add(point Point) {
	if len(s.points) == 0 {
		s.points = append(s.points, point)
		return
	}
	last := len(s.points) - 1
	if point.AtMS-s.points[last].AtMS > s.settings.PassGapMS() || s.isLong(point.AtMS) {
		s.Flush()
	} else if !s.move(&point) {
		s.Add(point)
		return
	}
	s.points = append(s.points, point)
}

// move keeps account of where the truck stands: it has left where two points that follow each other say so, since one may be a jump. False
// where the trace was cut at a stop: the point then comes anew.
func (s *Splitter) move(point *Point) bool {
	if s.stands(point) {
		s.astray = -1
		return true
	}
	if s.astray < 0 {
		s.astray = len(s.points)
		return true
	}
	if s.astray > EvidencePoints && s.points[s.astray-1].AtMS-s.points[s.anchor].AtMS > s.settings.PassGapMS() {
		s.leave()
		return false
	}
	s.anchor, s.astray = s.astray, -1
	if !s.stands(point) {
		s.astray = len(s.points)
	}
	return true
}

func (s *Splitter) isLong(atMS int64) bool {
	noons := func(ms int64) int64 { return (ms - dayMS/2) / dayMS }
	first, last := s.points[0].AtMS, s.points[len(s.points)-1].AtMS
	return noons(atMS) > noons(last) && atMS-first >= longTraceMS
}

func (s *Splitter) stands(point *Point) bool {
	at := &s.points[s.anchor]
	north := (point.Lat - at.Lat) * metresADegree
	east := (point.Lon - at.Lon) * metresADegree * math.Cos(at.Lat*math.Pi/180)
	dist2 := north*north + east*east
	return dist2 <= s.settings.ParkedM*s.settings.ParkedM || point.SpeedMPH <= parkedMPH && dist2 <= parkedScatterM*parkedScatterM
}

// leave ends the trace at a stop and begins the next with the stop's last point, as if nothing had been before it: so that a trace is cut
// the same when the walk begins with it.
func (s *Splitter) leave() {
	last := s.astray - 1
	s.yield(s.points[:last])
	s.points = append(s.points[:0], s.points[last:]...)
	s.anchor, s.astray = 0, -1
	if !s.stands(&s.points[1]) {
		s.astray = 1
	}
}

// Flush gives the last trace; the next point begins another.
func (s *Splitter) Flush() {
	if len(s.points) > 0 {
		s.yield(s.points)
	}
	s.points, s.anchor, s.astray = s.points[:0], 0, -1
}
