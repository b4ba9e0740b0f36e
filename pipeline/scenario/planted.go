package scenario

import (
	"fmt"
	"slices"
	"sort"
	"time"

	"lanetally/pipeline/scenario/land"
)

// planted names the storms in which something happens to the paper, by index; -1 where there is none.
type planted struct {
	unlogged  int // the plain garage's log of this storm is lost
	late      int // the lakeside garage delivers this storm's log two months later
	lentFrom  int // the lent truck works this storm and the next
	lentRoute int
}

// planFacts picks the storms: each reaches the zone that it needs and is no other planted one.
func planFacts(storms []land.Storm) planted {
	p := planted{lentRoute: land.RouteIndex("L-03")}
	p.unlogged = shortest(storms, pickStorm(storms, 0, 8, "plain"), pickStorm(storms, 0, 20, "plain"), land.ZoneIndex("plain"))
	p.late = pickStorm(storms, 1, 8, "shore")
	p.lentFrom = pickStorm(storms, 1, 15, "shore")
	return p
}

// pickStorm is the first storm of a season, from the nth on, that reaches the zone and lasts.
func pickStorm(storms []land.Storm, season, n int, zoneID string) int {
	for i, s := range storms {
		if s.Season != season {
			continue
		}
		if n--; n < 0 && !s.Zones[land.ZoneIndex(zoneID)].IsDry && s.Zones[land.ZoneIndex(zoneID)].Hours > 6 {
			return i
		}
	}
	return -1
}

// shortest is the storm of the fewest hours in a zone, over 6, from one index to another: a lost log that still leaves
// most of the month's pounds told, so that weighed loads do not look like a wrong setting.
func shortest(storms []land.Storm, from, to, z int) int {
	best := from
	for i := from; i <= to; i++ {
		zs := storms[i].Zones[z]
		if !zs.IsDry && zs.Hours > 6 && zs.Hours < storms[best].Zones[z].Hours {
			best = i
		}
	}
	return best
}

func (p planted) isLent(storm, route int) bool {
	return storm >= 0 && route == p.lentRoute && p.lentFrom >= 0 && (storm == p.lentFrom || storm == p.lentFrom+1)
}

// mark writes on a pass what becomes of its row.
func (p planted) mark(x *pass) {
	zoneID := land.Routes[x.route].ZoneID
	x.isUnlogged = x.storm >= 0 && x.storm == p.unlogged && zoneID == "plain"
	x.isLate = x.storm >= 0 && x.storm == p.late && zoneID == "shore"
}

// plant finishes the log: the clock-change night, an old controller's gaps, numbers, first tellings.
func (w *winter) plant(seed uint64) {
	d := land.NewDraw(seed, "planted")
	w.turnClock()
	sort.SliceStable(w.passes, func(i, j int) bool {
		a, b := w.passes[i], w.passes[j]
		if !a.began.Equal(b.began) {
			return a.began.Before(b.began)
		}
		return a.truckID < b.truckID
	})
	corrected := 0
	for i := range w.passes {
		p := &w.passes[i]
		z := land.Zones[land.ZoneIndex(land.Routes[p.route].ZoneID)]
		if z.HasPassID {
			p.id = fmt.Sprintf("%s-%05d", z.Garage, i+1)
		}
		forgets := p.truckID == "P3" && p.materialID == "salt" && p.storm >= 0 && !p.isSpot
		if forgets && d.Chance(0.015) {
			p.dispensedLb = 0 // the old controller lost its count: only the setting is known
			if d.Chance(0.25) {
				p.rateSetLb = 0
			}
		}
		month := p.began.In(w.place).Format("2006-01")
		if month == correctedMonth && z.Garage == correctedGarage && p.materialID == "salt" && !p.isSpot && corrected < correctedRows &&
			d.Chance(0.2) {
			p.isCorrected, p.firstTold = true, land.Round(p.dispensedLb*d.Between(1.6, 2.2), 0)
			corrected++
		}
	}
}

// The corrected file: one garage counted some passes of one month too high at first.
const (
	correctedMonth  = "2028-02"
	correctedGarage = "north"
	correctedRows   = 9
)

// clockSlots are begins and ends, in UTC, around 06:00 UTC of 5 November 2028, when 02:00 becomes 01:00. Written as
// local times without an offset each row still tells which reading is meant: a time that does not follow its
// predecessor in the repeated hour is the second reading, and so is an end before its begin.
var clockSlots = [2][3][2]string{
	{{"05:20", "05:58"}, {"06:10", "06:50"}, {"07:05", "07:45"}},
	{{"05:25", "05:59"}, {"06:30", "07:10"}, {"07:20", "07:55"}},
}

const clockDay = "2028-11-05"

// turnClock retimes the passes of the garage that writes local times in the night of the autumn change.
func (w *winter) turnClock() {
	from, to := instant("05:05"), instant("08:05")
	for i, truckID := range []string{"P1", "P2", "P3"} {
		var touched []int
		for j, p := range w.passes {
			if p.truckID == truckID && p.began.Before(to) && p.ended.After(from) {
				touched = append(touched, j)
			}
		}
		sort.SliceStable(touched, func(a, b int) bool { return w.passes[touched[a]].began.Before(w.passes[touched[b]].began) })
		slots := clockSlots[i%2][:]
		if len(touched) == 2 {
			slots = slots[1:]
		}
		for k, j := range touched[:min(len(touched), len(slots))] {
			p := &w.passes[j]
			p.began, p.ended, p.isClockNight = instant(slots[k][0]), instant(slots[k][1]), true
		}
		dropped := touched[min(len(touched), len(slots)):]
		slices.Sort(dropped)
		for _, j := range slices.Backward(dropped) {
			w.passes = slices.Delete(w.passes, j, j+1)
		}
	}
}

func instant(clock string) time.Time {
	at, err := time.Parse("2006-01-02 15:04", clockDay+" "+clock)
	if err != nil {
		panic(err) // a constant of this package
	}
	return at
}

func number(prefix string, n int) string { return fmt.Sprintf("%s%06d", prefix, n) }
