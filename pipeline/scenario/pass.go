package scenario

import (
	"time"

	"lanetally/pipeline/scenario/land"
)

// pass is one truck's pass as its garage would log it.
type pass struct {
	id             string
	truckID        string
	crewID         string
	route          int
	began, ended   time.Time
	fromMi, toMi   float64
	lanes          float64 // as logged; 0: empty
	laneMilesGiven float64 // as logged; 0: empty
	laneMiles      float64 // what it is; 0 for a spot
	materialID     string
	rateSetLb      float64
	dispensedLb    float64 // 0: empty
	dispensedGal   float64
	prewetGal      float64
	plowDown       bool
	purpose        string
	speedMph       float64
	note           string

	x, lnRatio   float64 // of acetate: the crew's experience, and planted pounds over those of salt
	storm        int     // index, -1 outside storms
	isSpot       bool
	isTreating   bool
	isUnlogged   bool // the garage's log of this storm was lost
	isLate       bool // delivered long after
	isCorrected  bool
	firstTold    float64 // pounds of the first telling, where corrected
	isLent       bool
	isClockNight bool
}

// leg is one pass of a round.
type leg struct {
	fromMi, toMi, lanes, laneMilesGiven, laneMiles float64
	deadheadMin                                    float64
}

// legs are the passes that together treat the route once.
func legs(r land.Route) []leg {
	if r.IsRoundTrip {
		return []leg{{fromMi: r.FromMi, toMi: r.ToMi, laneMilesGiven: r.LaneMiles, laneMiles: r.LaneMiles}}
	}
	if r.LanesPerPass > 1 {
		return []leg{{fromMi: r.FromMi, toMi: r.ToMi, laneMiles: r.Miles() * r.LanesPerPass, deadheadMin: 25}}
	}
	width := max(r.LanesLogged, 1)
	out := leg{fromMi: r.FromMi, toMi: r.ToMi, lanes: r.LanesLogged, laneMiles: r.Miles() * width}
	back := out
	back.fromMi, back.toMi = out.toMi, out.fromMi
	return []leg{out, back}
}

// minutes is how long a truck needs for the leg.
func (l leg) minutes(r land.Route, speedMph float64) float64 {
	miles := r.Miles()
	if l.laneMilesGiven > 0 {
		miles *= 2
	}
	return miles / speedMph * 60
}
