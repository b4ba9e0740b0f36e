package trace

import (
	"math"
	"slices"

	"lanetally/pipeline/matching"
)

// Codes of the reasons of weak passes.
const (
	WeakFew   = "weak_few"
	WeakShare = "weak_share"
	WeakRoad  = "weak_road"
)

// buildPart cuts a one-way part of a run, matched[from..to], where the work changes. What a point reports holds until the next, so a piece
// ends at the first point with other work.
func (b *Builder) buildPart(r *run, m []int, from, to int) {
	start := from
	for k := from + 1; k < to; k++ {
		if b.works[m[k]] != b.works[m[start]] {
			b.buildPiece(r, m, start, k, start == from, false)
			start = k
		}
	}
	b.buildPiece(r, m, start, to, start == from, true)
}

// claim takes the share of what went out between two points that lies on the run's route.
func (b *Builder) claim(from, to int, r *reach) int64 {
	return int64(float64(b.fedFrom(from, to)) * min(1, r.extraM/r.wholeM))
}

func (b *Builder) fedFrom(from, to int) (ulb int64) {
	for i := from; i < to; i++ {
		ulb += b.fed[i]
	}
	return ulb
}

// basisOf is the counter where it tells of any step between two points, or of the first one's where they are one; else the rate where that
// does.
func (b *Builder) basisOf(from, to int) Basis {
	steps := b.bases[from:max(to, from+1)]
	switch {
	case slices.Contains(steps, Counter):
		return Counter
	case slices.Contains(steps, Rate):
		return Rate
	}
	return NoBasis
}

// buildPiece measures matched[from..to]; isFirst and isLast tell whether it has the part's reach at either end.
func (b *Builder) buildPiece(r *run, m []int, from, to int, isFirst, isLast bool) {
	first, last := m[from], m[to]
	w := b.works[first]
	startM, endM := b.places[first].AlongM, b.places[last].AlongM
	p := Pass{Route: r.route, BeganMS: b.points[first].AtMS, EndedMS: b.points[last].AtMS, Activity: w.activity, Material: w.material,
		Crew: w.crew}
	p.Pounds = b.fedFrom(first, last)
	fedFrom, fedTo := first, last // the points whose steps the pounds are of
	if before := &r.before; isFirst {
		switch {
		case before.other < 0:
			startM = before.toAlongM
		case b.works[before.other] == w && before.wholeM > 0:
			startM = before.toAlongM
			p.Pounds += b.claim(before.other, first, before)
			fedFrom = before.other
			p.BeganMS -= int64(float64(p.BeganMS-b.points[before.other].AtMS) * before.extraM / before.wholeM)
		}
	}
	if after := &r.after; isLast {
		switch {
		case after.other < 0:
			endM = after.toAlongM
		case b.works[last] == w && after.wholeM > 0:
			endM = after.toAlongM
			p.Pounds += b.claim(last, after.other, after)
			fedTo = after.other
			p.EndedMS += int64(float64(b.points[after.other].AtMS-p.EndedMS) * after.extraM / after.wholeM)
		}
	}
	p.FromMi, p.ToMi = b.network.Mile(r.route, startM), b.network.Mile(r.route, endM)
	p.Basis = b.basisOf(fedFrom, fedTo)
	if w.activity != Treating {
		p.Pounds, p.Basis = 0, NoBasis
	}
	switch {
	case w.activity == Travelling:
		b.counts.TravelM += math.Abs(endM - startM)
		return
	case startM == endM && p.Pounds == 0:
		b.counts.Touches++
		return
	}
	p.First = first
	b.describe(&p, m[from:to+1])
	b.counts.UnplacedULb -= p.Pounds
	b.passes = append(b.passes, p)
}

// describe fills lanes, plow, share, confidence and what is weak.
func (b *Builder) describe(p *Pass, m []int) {
	lanes, laneM, down, up := 0.0, 0.0, int64(0), int64(0)
	sure := 0.0
	for k, i := range m {
		sure += float64(b.places[i].Confidence)
		if k+1 == len(m) {
			break
		}
		point := &b.points[i]
		if float64(b.places[i].OffsetM) > b.network.BesideM() {
			p.BesideMi += b.stepM[i] / metresAMile
		}
		if stepM := b.stepM[i] + 1e-9; !math.IsNaN(point.Lanes) {
			lanes, laneM = lanes+point.Lanes*stepM, laneM+stepM
		}
		switch ms := b.points[m[k+1]].AtMS - point.AtMS; point.PlowDown {
		case Yes:
			down += ms
		case No:
			up += ms
		case Unknown:
		}
	}
	if len(m) == 1 {
		point := &b.points[m[0]]
		lanes, laneM, p.PlowDown = point.Lanes, 1, point.PlowDown
	}
	p.Lanes = math.NaN()
	if laneM > 0 {
		p.Lanes = lanes / laneM
	}
	switch {
	case down > 0 && down >= up:
		p.PlowDown = Yes
	case up > 0:
		p.PlowDown = No
	}
	p.Points = len(m)
	usable := 0
	for _, place := range b.places[m[0] : m[len(m)-1]+1] {
		if place.Kind != matching.Frozen {
			usable++
		}
	}
	p.MatchShare = float64(len(m)) / float64(usable)
	p.Confidence = sure / float64(len(m))
	switch {
	case p.Points < 2:
		p.Weak = WeakFew
	case p.MatchShare < b.settings.MatchMin:
		p.Weak = WeakShare
	case p.Confidence < b.settings.MatchMin:
		p.Weak = WeakRoad
	}
}
