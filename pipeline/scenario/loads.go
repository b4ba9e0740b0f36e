package scenario

import (
	"slices"
	"sort"
	"time"

	"lanetally/pipeline/scenario/land"
)

// ticket is one weighed load.
type ticket struct {
	id          string
	loadedAt    time.Time
	truckID     string
	stockpileID string
	materialID  string
	loadedLb    float64
	returnedLb  float64 // 0: empty
}

// box is what one truck holds of one material, really, in pounds.
type box struct {
	truckID, materialID string
	heldLb              float64
	last                int // index of the trip's last ticket, -1: none since it came home
}

// boxes is every truck's hopper, and the tickets that filled them.
type boxes struct {
	d       land.Draw
	held    []box
	tickets []ticket
}

func newBoxes(seed uint64, purpose string) *boxes { return &boxes{d: land.NewDraw(seed, purpose)} }

// misSet is the planted wrong setting: a truck that carries acetate with its spreader set for salt.
var misSet = struct {
	truckID string
	since   time.Time
}{"P1", time.Date(2029, 1, 8, 12, 0, 0, 0, time.UTC)}

const scaleLb = 20 // the scale's division

// thrown is pounds really thrown for pounds counted.
func thrown(t land.Truck, materialID string, countedLb float64, at time.Time) float64 {
	lb := countedLb * t.Spread
	if t.ID == misSet.truckID && materialID == "cma" && !at.Before(misSet.since) {
		lb *= land.BulkDensity("cma") / land.BulkDensity("salt")
	}
	return lb
}

// spread takes a pass's material out of the truck, which loads before it where it must.
// A lent truck loads in its own yard.
func (b *boxes) spread(t land.Truck, p pass) {
	if p.isLent {
		return
	}
	hold := b.of(t.ID, p.materialID)
	lb := thrown(t, p.materialID, p.dispensedLb, p.began)
	for hold.heldLb < lb {
		b.load(hold, t, lb, p.began)
	}
	hold.heldLb -= lb
}

func (b *boxes) of(truckID, materialID string) *box {
	i := slices.IndexFunc(b.held, func(x box) bool { return x.truckID == truckID && x.materialID == materialID })
	if i < 0 {
		i = len(b.held)
		b.held = append(b.held, box{truckID: truckID, materialID: materialID, last: -1})
	}
	return &b.held[i]
}

// load weighs one load: a full box, or for sand what the pass needs.
func (b *boxes) load(hold *box, t land.Truck, neededLb float64, at time.Time) {
	full := t.CapacityFt3 * land.BulkDensity(hold.materialID) * b.d.Between(0.86, 0.98)
	want := full - hold.heldLb
	if hold.materialID == "sand" {
		want = min(want, neededLb*1.1)
	}
	lb := land.Round(max(want, 400)/scaleLb, 0) * scaleLb
	z := land.Zones[land.ZoneIndex(t.ZoneID)]
	b.tickets = append(b.tickets, ticket{loadedAt: at.Add(-land.Minutes(b.d.Between(6, 14))).Truncate(time.Minute), truckID: t.ID,
		stockpileID: z.Stockpile, materialID: hold.materialID, loadedLb: lb})
	hold.last = len(b.tickets) - 1
	hold.heldLb += lb
}

// comeHome ends a trip: what is left is weighed back, for loads left in the box make weighed pounds too many in a season's first weeks.
func (b *boxes) comeHome(truckID string) {
	for i := range b.held {
		hold := &b.held[i]
		if hold.truckID != truckID || hold.last < 0 {
			continue
		}
		isBack := b.d.Chance(0.95) || hold.materialID == "sand"
		if lb := land.Round(hold.heldLb/scaleLb, 0) * scaleLb; isBack && lb > 0 {
			b.tickets[hold.last].returnedLb = lb
			hold.heldLb = 0
		}
		hold.last = -1
	}
}

// numbered sorts the tickets that the data can know by time and numbers them after a prefix.
func (b *boxes) numbered(prefix string, asOf time.Time) []ticket {
	known := slices.DeleteFunc(slices.Clone(b.tickets), func(t ticket) bool { return t.loadedAt.After(asOf) })
	sort.SliceStable(known, func(i, j int) bool { return known[i].loadedAt.Before(known[j].loadedAt) })
	for i := range known {
		known[i].id = number(prefix, i+1)
	}
	return known
}
