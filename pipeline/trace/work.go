package trace

import (
	"math"

	"lanetally/pipeline/matching"
)

// Activity is what a truck does at a time.
type Activity uint8

// The activities.
const (
	Travelling Activity = iota // neither spreading nor plowing
	Plowing                    // plow down, nothing going out
	Treating                   // material going out
)

// work is what holds from one point to the next; a pass has one.
type work struct {
	activity       Activity
	material, crew int32
}

// observe fills works: what each point says, with names that a report left out carried on from the one before.
func (b *Builder) observe() {
	var material, crew int32
	for i := range b.points {
		p := &b.points[i]
		if p.Material != 0 {
			material = p.Material
		}
		if p.Crew != 0 {
			crew = p.Crew
		}
		w := work{crew: crew}
		switch {
		case b.isSpreading(i):
			w.activity, w.material = Treating, material
		case p.PlowDown == Yes:
			w.activity = Plowing
		}
		b.works[i] = w
	}
	b.bridge(Treating)
	b.bridge(Plowing)
	b.lead()
}

// lead gives pounds that a counter shows beside treating to the treating: a spreader starts between two reports, and a counter may lag.
func (b *Builder) lead() {
	for i := range b.works {
		if b.works[i].activity == Treating || b.fed[i] == 0 {
			continue
		}
		to := i + 1
		if to >= len(b.works) || b.works[to].activity != Treating {
			to = i - 1
		}
		if to >= 0 && b.works[to].activity == Treating {
			b.fed[to] += b.fed[i]
			b.fed[i], b.bases[to] = 0, b.bases[i]
		}
	}
}

func (b *Builder) isSpreading(i int) bool {
	p := &b.points[i]
	switch {
	case p.Spreading != Unknown:
		return p.Spreading == Yes
	case !math.IsNaN(p.RateLbPerLaneMi):
		return p.RateLbPerLaneMi > 0
	}
	return b.bases[i] == Counter && b.fed[i] > 0
}

// bridge lets an activity go on over a rest of at most SpreadGapS, when the same work goes on after it.
func (b *Builder) bridge(activity Activity) {
	limitMS := int64(b.settings.SpreadGapS * 1000)
	last := -1
	for i := range b.works {
		if b.works[i].activity < activity {
			continue
		}
		if last >= 0 && i-last > 1 && b.works[i] == b.works[last] && b.works[i].activity == activity &&
			b.points[i].AtMS-b.points[last+1].AtMS <= limitMS && b.isOneRoute(last, i) {
			for k := last + 1; k < i; k++ {
				if b.works[k].crew == b.works[last].crew {
					b.works[k] = b.works[last]
				}
			}
		}
		last = i
	}
}

// isOneRoute: the truck was on no more than one route from one point to another.
func (b *Builder) isOneRoute(from, to int) bool {
	route := matching.NoRoute
	for _, place := range b.places[from : to+1] {
		if place.Route != matching.NoRoute && route != matching.NoRoute && place.Route != route {
			return false
		}
		route = max(route, place.Route)
	}
	return true
}
