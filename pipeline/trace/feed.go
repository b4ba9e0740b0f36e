package trace

import "math"

const ulbPerLb = 1e6

// Basis says where a pass's pounds come from.
type Basis uint8

// The bases.
const (
	NoBasis Basis = iota
	Counter       // differences of the running counter
	Rate          // the reported rate times the lanes and the distance driven
)

// String gives the basis in plain words.
func (b Basis) String() string { return [...]string{"none", "counter", "rate"}[b] }

// feed fills fed, the micro-pounds that went out from each point to the next, and bases, what says so: the counter from its first reading
// to its last, before and after them the rate.
func (b *Builder) feed() {
	for i := range b.points {
		b.fed[i], b.bases[i] = 0, NoBasis
	}
	b.feedByCounter()
	b.feedByRate()
}

// feedByCounter holds each reading against the one before; against the highest, while the last digit wavers below it.
func (b *Builder) feedByCounter() {
	last, baseLb := -1, 0.0
	for i := range b.points {
		nowLb := b.points[i].TotalLb
		if math.IsNaN(nowLb) {
			continue
		}
		if last >= 0 {
			seconds := float64(b.points[i].AtMS-b.points[last].AtMS) / 1000
			ulb := int64(0)
			if wavers := nowLb <= baseLb && baseLb-nowLb <= b.settings.CounterDipLb; wavers {
				nowLb = baseLb
			} else {
				ulb = b.counted(baseLb, nowLb, seconds)
			}
			b.share(last, i, ulb)
		}
		last, baseLb = i, nowLb
	}
}

// counted is what went out between two readings, in micro-pounds. A counter that fell was either full and went on from 0 (a wrap), or was
// set to 0 (a reset): then what it shows now went out since, at least. More than can have gone out is not counted.
func (b *Builder) counted(beforeLb, nowLb, seconds float64) int64 {
	most := b.settings.MaxFlowLbS*seconds + 1
	rise := nowLb - beforeLb
	if rise < 0 {
		for _, turn := range b.settings.CounterTurns {
			if wrapped := nowLb + turn - beforeLb; beforeLb < turn && wrapped >= 0 && wrapped <= most {
				b.counts.Wraps++
				return int64(math.RoundToEven(wrapped * ulbPerLb))
			}
		}
		b.counts.Resets++
		rise = max(nowLb, 0)
	}
	if rise > most {
		b.counts.CounterFaults++
		return 0
	}
	return int64(math.RoundToEven(rise * ulbPerLb))
}

// share spreads what was counted between two readings evenly over the time between.
func (b *Builder) share(from, to int, ulb int64) {
	begin, left := b.points[from].AtMS, ulb
	whole := float64(b.points[to].AtMS - begin)
	for i := from; i < to; i++ {
		b.bases[i] = Counter
	}
	for i := from; i < to-1; i++ {
		part := int64(math.RoundToEven(float64(ulb) * float64(b.points[i+1].AtMS-b.points[i].AtMS) / whole))
		b.fed[i] = part
		left -= part
	}
	b.fed[to-1] = left
}

func (b *Builder) feedByRate() {
	for i := range b.points {
		p := &b.points[i]
		if b.bases[i] == Counter || math.IsNaN(p.RateLbPerLaneMi) {
			continue
		}
		b.bases[i] = Rate
		if p.Spreading == No || !(p.RateLbPerLaneMi > 0) {
			continue
		}
		lanes := p.Lanes
		if math.IsNaN(lanes) {
			lanes = 1
			if route := b.places[i].Route; route >= 0 {
				lanes = b.lanesPerPass[route]
			}
		}
		b.fed[i] = int64(math.RoundToEven(p.RateLbPerLaneMi * lanes * b.drivenM(i) / metresAMile * ulbPerLb))
	}
}

// drivenM is the way from a point to the next: speed by time where positions follow closely and speeds are believable, since steps between
// such positions are noise; else what the positions show.
func (b *Builder) drivenM(i int) float64 {
	if b.isPaced && b.stepM[i] > 0 && b.points[i+1].AtMS-b.points[i].AtMS < strideMS {
		if paceM := b.paceM(i, i+1); !math.IsNaN(paceM) {
			return paceM
		}
	}
	return b.stepM[i]
}
