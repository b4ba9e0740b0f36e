package scenario

import (
	"math"
	"sort"
	"time"
)

// pretreat wets dry roads with a liquid on the afternoon before some snow storms.
func (w *winter) pretreat(z int, zs zoneStorm) {
	s := w.storms[w.at]
	if s.kind != kindSnow || s.isOpen || w.at%5 >= 2 || zs.airFMean < 20 {
		return
	}
	local := zs.began.In(w.place)
	day := local
	if local.Hour() < 17 {
		day = local.AddDate(0, 0, -1)
	}
	noon := time.Date(day.Year(), day.Month(), day.Day(), 13, 0, 0, 0, w.place).UTC()
	if w.at > 0 && w.storms[w.at-1].ended.After(noon) {
		return
	}
	for _, t := range sheetTrucks {
		at := noon.Add(minutes(w.d.between(5, 40)))
		for i, r := range sheetRoutes {
			if r.trucks[s.season] == t.id && r.zoneID == zones[z].id && !r.isRoundTrip && r.trafficAADT >= 2500 {
				at = w.wet(t, z, i, at)
			}
		}
	}
}

// wet puts a liquid on one route and returns when the truck is free again.
func (w *winter) wet(t truck, z, i int, at time.Time) time.Time {
	for _, l := range routes[i].legs() {
		p := w.newPass(t, z, i, l, at)
		p.crewID, p.purpose, p.materialID, p.isTreating = zones[z].dayCrew, "pretreat", "brine", true
		p.dispensedGal = round(w.d.between(33, 45)*l.laneMiles, 0)
		if routes[i].isAcetate(w.storms[w.at].season) {
			p.materialID, p.dispensedGal = "ka50", round(w.d.between(14, 19)*l.laneMiles, 0)
		}
		w.log(p)
		at = p.ended.Add(minutes(4))
	}
	return at
}

// cleanUp plows the shoulders after a snow storm and treats what is left on some routes.
func (w *winter) cleanUp(z int, zs zoneStorm) {
	s := w.storms[w.at]
	if s.isOpen || zs.freezingH >= 0.5 {
		return
	}
	for _, t := range sheetTrucks {
		if t.zoneID != zones[z].id {
			continue
		}
		at := zs.ended.Add(minutes(w.d.between(100, 330)))
		if free := w.freeAt[t.id]; at.Before(free) {
			at = free.Add(minutes(w.d.between(5, 20)))
		}
		for i, r := range sheetRoutes {
			if r.trucks[s.season] == t.id && w.d.chance(0.6) {
				at = w.sweep(t, z, zs, i, at)
			}
		}
		w.boxes.comeHome(t.id)
	}
}

// sweep cleans one route up and returns when the truck is free again.
func (w *winter) sweep(t truck, z int, zs zoneStorm, i int, at time.Time) time.Time {
	treats := w.d.chance(0.22)
	for _, l := range routes[i].legs() {
		p := w.newPass(t, z, i, l, at)
		p.plowDown, p.purpose = true, "cleanup"
		if treats {
			w.treat(&p, t, zs, l)
		}
		w.log(p)
		at = p.ended.Add(minutes(l.deadheadMin + 5))
	}
	return at
}

// quietHours keep frost and drift passes out of the reach of every storm (36 h for passes that only plow).
const quietHours = 38

// workOutside adds the mornings of frost on bridges and the days of drifting between storms.
func (w *winter) workOutside(seed uint64) {
	d := newDraw(seed, "outside")
	w.at = -1
	for season, during := range spans {
		for day := during.from.AddDate(0, 0, 3); day.Before(during.to.AddDate(0, 0, -2)); day = day.AddDate(0, 0, 1) {
			local := day.In(w.place)
			at := time.Date(local.Year(), local.Month(), local.Day(), 5, 10, 0, 0, w.place).UTC()
			if !w.isQuiet(at) {
				continue
			}
			switch {
			case w.isFrosty(season, at) && d.chance(0.8):
				w.whiten(at, season)
				w.frost(at, season)
			case w.isDrifting(season, at.Add(hours(4))):
				w.drift(at.Add(hours(4)), season)
			}
		}
	}
}

// isFrosty: clear, the bridges' air near or below freezing, no deep cold, and a pavement sensor that tells it.
func (w *winter) isFrosty(season int, at time.Time) bool {
	r := w.lastReport(season, zoneIndex("plain"), at)
	return r.wx == "" && r.hasSurface && !r.isFaulty && r.surfaceF <= 32 && r.airF >= 22 && r.airF-r.dewF < 9
}

// isDrifting: snow on the ground and wind enough to move it.
func (w *winter) isDrifting(season int, at time.Time) bool {
	r := w.lastReport(season, zoneIndex("ridge"), at)
	return r.snowDepthIn >= 2 && r.windMph >= 10
}

// lastReport is the zone's latest report at a time.
func (w *winter) lastReport(season, z int, at time.Time) report {
	reports := w.reports[season][z]
	after := sort.Search(len(reports), func(i int) bool { return reports[i].at.After(at) })
	return reports[max(after-1, 0)]
}

func (w *winter) isQuiet(at time.Time) bool {
	for _, s := range w.storms {
		if at.After(s.began.Add(-quietHours*time.Hour)) && at.Before(s.ended.Add(quietHours*time.Hour)) {
			return false
		}
	}
	return true
}

// frost treats the two bridges lightly before the morning traffic.
func (w *winter) frost(at time.Time, season int) {
	for i, r := range sheetRoutes {
		if r.bridgeLaneMiles == 0 {
			continue
		}
		t, z := truckOf(r.trucks[season]), zoneIndex(r.zoneID)
		for _, l := range r.legs() {
			p := w.newPass(t, z, i, l, at)
			p.purpose, p.materialID, p.isTreating, p.rateSetLb = "frost", "cma", true, 100
			p.dispensedLb = round(100*l.laneMiles*math.Exp(w.d.normal(0, lawSDPass)), 0)
			w.boxes.spread(t, p)
			w.log(p)
			at = p.ended.Add(minutes(4))
		}
		w.boxes.comeHome(t.id)
	}
}

// drift plows snow that the wind has laid on one open road.
func (w *winter) drift(at time.Time, season int) {
	i := []int{3, 4, 9}[w.d.IntN(3)]
	r := routes[i]
	for _, l := range r.legs() {
		p := w.newPass(truckOf(r.trucks[season]), zoneIndex(r.zoneID), i, l, at)
		p.plowDown, p.purpose = true, "drift"
		w.log(p)
		at = p.ended.Add(minutes(5))
	}
}

func truckOf(truckID string) truck {
	for _, t := range trucks {
		if t.id == truckID {
			return t
		}
	}
	return truck{id: truckID}
}
