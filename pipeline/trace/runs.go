package trace

import (
	"math"

	"lanetally/pipeline/matching"
)

// A run is a stay on one route: the indices of the points on it, and how far the run reaches beyond the first and the last of them.
type run struct {
	route         int32
	before, after reach
}

// reach is the part of the way between a run's end and the neighbouring point that lies on the run's route.
type reach struct {
	other    int     // the neighbouring usable point, -1: none
	extraM   float64 // metres on the route
	wholeM   float64 // metres of the whole way
	toAlongM float64 // where on the route it ends
}

// runs cuts the trace into stays on one route and builds the passes of each.
func (b *Builder) runs() {
	for k := 0; k < len(b.usable); {
		route := b.places[b.usable[k]].Route
		if route == matching.NoRoute {
			k++
			continue
		}
		b.matched = b.matched[:0]
		last := k
		for ; k < len(b.usable); k++ {
			if b.places[b.usable[k]].Route == route {
				if len(b.matched) > 0 && b.crossesJoint(b.usable[last], b.usable[k]) {
					break
				}
				b.matched = append(b.matched, b.usable[k])
				last = k
			} else if !b.returns(last, k, route) {
				break
			}
		}
		k = last + 1
		b.buildRun(route)
	}
}

// crossesJoint: a truck came from one point to another of a line that ends where it begins over the joint of its ends. So it left the line
// at one end and reached it at the other.
func (b *Builder) crossesJoint(from, to int) bool {
	p, q := &b.places[from], &b.places[to]
	if !b.network.IsLoop(p.Route) {
		return false
	}
	alongM := math.Abs(q.AlongM - p.AlongM)
	return b.network.LengthM(p.Route)-alongM < alongM-b.settings.TurnM
}

// returns: the truck, last on the route at usable point last, is on it again within BridgeS, and drives along no other route before.
func (b *Builder) returns(last, k int, route int32) bool {
	limitMS := b.points[b.usable[last]].AtMS + int64(b.settings.BridgeS*1000)
	for ; k < len(b.usable) && b.points[b.usable[k]].AtMS <= limitMS; k++ {
		switch here := b.places[b.usable[k]].Route; {
		case here == route:
			return true
		case here != matching.NoRoute && b.drivesAlong(k, limitMS):
			return false
		}
	}
	return false
}

// drivesAlong: from usable point k on a truck surely drives along the route it is on, half as far as makes a turn, before the limit.
func (b *Builder) drivesAlong(k int, limitMS int64) bool {
	first, sure := &b.places[b.usable[k]], 0.0
	for n := 1; k < len(b.usable) && b.points[b.usable[k]].AtMS <= limitMS; n, k = n+1, k+1 {
		here := &b.places[b.usable[k]]
		if here.Route != first.Route {
			return false
		}
		sure += float64(here.Confidence)
		if math.Abs(here.AlongM-first.AlongM) >= b.settings.TurnM/2 && sure >= b.settings.MatchMin*float64(n) {
			return true
		}
	}
	return false
}

// neighbour is the usable point before or after a point, -1 when there is none.
func (b *Builder) neighbour(i, step int) int {
	for i += step; i >= 0 && i < len(b.places); i += step {
		if kind := b.places[i].Kind; kind == matching.OnRoute || kind == matching.OffNetwork {
			return i
		}
	}
	return -1
}

// reach finds how far a run goes on beyond its point at, towards the neighbouring point other, when it goes on outwards: 1 with the line,
// -1 against it, 0 unknown.
func (b *Builder) reach(at, other int, outwards float64) reach {
	here := &b.places[at]
	r := reach{other: other, toAlongM: here.AlongM}
	if other < 0 || outwards == 0 {
		return r
	}
	r.wholeM = b.straightM(at, other)
	end := 0.0
	if outwards > 0 {
		end = b.network.LengthM(here.Route)
	}
	// where nothing tells at which place it left the route, half the way is on it
	to := here.AlongM + outwards*min(r.wholeM/2, math.Abs(end-here.AlongM))
	if dist, exit, _, ok := b.through(at, other); ok {
		r.wholeM = max(r.wholeM, dist)
		to = here.AlongM
		if (exit-here.AlongM)*outwards > 0 {
			to = exit
		}
	} else if b.places[other].Road < 0 && math.Abs(end-here.AlongM) <= r.wholeM {
		to = end
	}
	if extra := math.Abs(to - here.AlongM); extra <= r.wholeM {
		r.extraM, r.toAlongM = extra, to
	}
	return r
}

// buildRun cuts a run where the truck turns round, and each part where its work changes.
func (b *Builder) buildRun(route int32) {
	m := b.matched
	b.cuts = b.turns(b.cuts[:0])
	r := run{route: route, before: reach{other: -1}, after: reach{other: -1}}
	first, last := m[0], m[len(m)-1]
	for part := 0; part+1 < len(b.cuts); part++ {
		from, to := b.cuts[part], b.cuts[part+1]
		direction := math.Copysign(1, b.places[m[to]].AlongM-b.places[m[from]].AlongM)
		r.before, r.after = reach{other: -1, toAlongM: b.places[m[from]].AlongM}, reach{other: -1, toAlongM: b.places[m[to]].AlongM}
		if from == to {
			direction = b.heading(first, route)
		}
		if part == 0 {
			r.before = b.reach(first, b.neighbour(first, -1), -direction)
		} else {
			r.before.toAlongM = b.turnAt(m, from)
		}
		if part+2 == len(b.cuts) {
			r.after = b.reach(last, b.neighbour(last, 1), direction)
		} else {
			r.after.toAlongM = b.turnAt(m, to)
		}
		b.buildPart(&r, m, from, to)
	}
}

// heading is the direction, 1 or -1, of a run of a single point: from the neighbour before it to the one after, as seen from the route;
// 0 where that cannot be told.
func (b *Builder) heading(at int, route int32) float64 {
	before, after := b.neighbour(at, -1), b.neighbour(at, 1)
	if before < 0 || after < 0 {
		return 0
	}
	here := b.places[at].AlongM
	if b.places[before].Route != route {
		if _, _, entry, ok := b.through(before, at); ok && entry != here {
			return math.Copysign(1, here-entry)
		}
	}
	if b.places[after].Route != route {
		if _, exit, _, ok := b.through(at, after); ok && exit != here {
			return math.Copysign(1, exit-here)
		}
	}
	return 0
}

// turns lists the positions in matched where parts begin, and the last: the first, every place where the truck turned, the last.
func (b *Builder) turns(cuts []int) []int {
	m := b.matched
	cuts = append(cuts, 0)
	extreme, low, high, direction := 0, 0, 0, 0.0
	at := func(k int) float64 { return b.places[m[k]].AlongM }
	for k := 1; k < len(m); k++ {
		switch {
		case direction == 0:
			if at(k) < at(low) {
				low = k
			}
			if at(k) > at(high) {
				high = k
			}
			if at(high)-at(low) >= b.turnM {
				if high > low {
					direction, extreme = 1, high
				} else {
					direction, extreme = -1, low
				}
			}
		case (at(k)-at(extreme))*direction >= 0:
			extreme = k
		case (at(extreme)-at(k))*direction >= b.turnM:
			cuts = append(cuts, extreme)
			direction, extreme = -direction, k
		}
	}
	return append(cuts, len(m)-1)
}

func (b *Builder) secondsBetween(i, k int) float64 {
	return math.Abs(float64(b.points[i].AtMS-b.points[k].AtMS)) / 1000
}

// turnAt is where a truck turned round near its outermost point: with even speed, half of what it drove between that point and the
// neighbour it is nearer to, beyond what lies between them, and at most to the route's end.
func (b *Builder) turnAt(m []int, k int) float64 {
	here := &b.places[m[k]]
	if k == 0 || k+1 >= len(m) {
		return here.AlongM
	}
	backM, onM := math.Abs(b.places[m[k-1]].AlongM-here.AlongM), math.Abs(b.places[m[k+1]].AlongM-here.AlongM)
	near, gapM := k+1, onM
	if backM < onM {
		near, gapM = k-1, backM
	}
	far, farM := k-1, backM
	if near == k-1 {
		far, farM = k+1, onM
	}
	seconds, farS := b.secondsBetween(m[near], m[k]), b.secondsBetween(m[far], m[k])
	speedMS := min(b.points[m[near]].SpeedMPH, b.points[m[k]].SpeedMPH) * metresAMile / 3600
	if shownMS := max(farM/farS, gapM/seconds); !b.isPaced || !(speedMS <= fairPace*shownMS) {
		speedMS = farM / farS
	}
	beyond := max(0, (speedMS*seconds-gapM)/2)
	outwards := 2*here.AlongM - b.places[m[k-1]].AlongM - b.places[m[k+1]].AlongM
	return min(max(here.AlongM+math.Copysign(beyond, outwards), 0), b.network.LengthM(here.Route))
}
