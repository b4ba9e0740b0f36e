package calibration

import (
	"maps"
	"math"
	"slices"
	"time"
)

// CatchTest is one sample: pounds caught in a pail at a gate opening, over some seconds or some shaft revolutions.
// Seconds, Revolutions, RevPerMin and SpeedMph are 0 where they were not noted.
type CatchTest struct {
	At          time.Time
	GateIn      float64
	CaughtLb    float64
	Seconds     float64
	Revolutions float64
	RevPerMin   float64
	SpeedMph    float64
}

// lbPerRev is the sample per shaft revolution; false where revolutions are neither counted nor to be had from time and shaft speed.
func (c CatchTest) lbPerRev() (float64, bool) {
	if c.Revolutions > 0 {
		return c.CaughtLb / c.Revolutions, true
	}
	if c.Seconds > 0 && c.RevPerMin > 0 {
		return c.CaughtLb / (c.Seconds / 60 * c.RevPerMin), true
	}
	return 0, false
}

// lbPerMin is the delivery at a shaft speed of revPerMin (0: none is known). Where a sample has no shaft speed of its own it stands
// as it was timed. False where a sample by revolutions meets no shaft speed.
func (c CatchTest) lbPerMin(revPerMin float64) (float64, bool) {
	if perRev, ok := c.lbPerRev(); ok && revPerMin > 0 {
		return LbPerMin(perRev, revPerMin), true
	}
	if c.Seconds > 0 {
		return c.CaughtLb / c.Seconds * 60, true
	}
	return 0, false
}

// Record is one calibration on record: pounds measured over a mile at a gate and a speed.
type Record struct {
	At                time.Time
	GateIn            float64
	MeasuredLbPerMile float64
	SpeedMph          float64
}

// Gate is what one gate opening delivers: the mean of its samples. SpreadShare is (most - least) / mean of them. LbPerRev is 0 where
// it cannot be told.
type Gate struct {
	GateIn      float64 `json:"gate_in"`
	TestedDate  string  `json:"tested_date"`
	Samples     int     `json:"samples"`
	LbPerRev    float64 `json:"lb_per_rev,omitempty"`
	LbPerMin    float64 `json:"lb_per_min"`
	SpreadShare float64 `json:"spread_share"`
}

// gatesOf gives the gates of catch tests by opening. Each gate takes the samples of its latest date in zone alone: an older session
// is of a spreader as it was then. unread counts the samples of those sessions that give no pounds per minute.
func gatesOf(tests []CatchTest, revPerMin float64, zone *time.Location) (gates []Gate, unread int) {
	latest := map[float64]string{}
	for _, c := range tests {
		latest[c.GateIn] = max(latest[c.GateIn], localDate(c.At, zone))
	}
	for _, gateIn := range slices.Sorted(maps.Keys(latest)) {
		var perMin, perRev []float64
		for _, c := range tests {
			if c.GateIn != gateIn || localDate(c.At, zone) != latest[gateIn] {
				continue
			}
			lb, ok := c.lbPerMin(revPerMin)
			if !ok {
				unread++
				continue
			}
			perMin = append(perMin, lb)
			if lb, ok := c.lbPerRev(); ok {
				perRev = append(perRev, lb)
			}
		}
		if len(perMin) == 0 {
			continue
		}
		gate := Gate{GateIn: gateIn, TestedDate: latest[gateIn], Samples: len(perMin), LbPerMin: mean(perMin), SpreadShare: spread(perMin)}
		if len(perRev) == len(perMin) {
			gate.LbPerRev = mean(perRev)
		}
		gates = append(gates, gate)
	}
	return gates, unread
}

// gatesOnRecord gives the gates of calibrations, each from its latest date in zone, as pounds per minute at the measured speed.
func gatesOnRecord(records []Record, zone *time.Location) []Gate {
	tests := make([]CatchTest, len(records))
	for i, r := range records {
		tests[i] = CatchTest{At: r.At, GateIn: r.GateIn, CaughtLb: r.MeasuredLbPerMile, Seconds: 60 * MinPerMile(r.SpeedMph)}
	}
	gates, _ := gatesOf(tests, 0, zone)
	return gates
}

func localDate(at time.Time, zone *time.Location) string { return at.In(zone).Format(time.DateOnly) }

// shaftSpeed is the shaft speed in revolutions per minute of the latest test that noted one, 0 for none.
func shaftSpeed(tests []CatchTest) float64 {
	return latestValue(tests, func(c CatchTest) float64 { return c.RevPerMin })
}

// latestValue gives value of the latest test where it is not 0; among tests of one instant the largest.
func latestValue(tests []CatchTest, value func(CatchTest) float64) float64 {
	var at time.Time
	found := 0.0
	for _, c := range tests {
		if v := value(c); v > 0 && (found == 0 || c.At.After(at) || c.At.Equal(at) && v > found) {
			at, found = c.At, v
		}
	}
	return found
}

// sessions tells whether gates were tested on more than one date.
func sessions(gates []Gate) bool {
	return slices.ContainsFunc(gates, func(g Gate) bool { return g.TestedDate != gates[0].TestedDate })
}

// closeTo says that two openings or deliveries are the same but for rounding.
func closeTo(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b)) }
