package scenario

import (
	"slices"
	"sort"
	"time"
)

// pretreat wets dry roads with a liquid on the afternoon before some snow storms.
func (w *winter) pretreat(z int, zs zoneStorm) {
	s := w.storms[w.at]
	if s.kind != kindSnow || s.isOpen || w.at%5 >= 2 || zs.airFMean < 20 {
		return
	}
	noon := clockOf(zs.began, 13, 0, w.place)
	if zs.began.In(w.place).Hour() < 17 {
		noon = clockOf(zs.began.In(w.place).AddDate(0, 0, -1), 13, 0, w.place)
	}
	if w.at > 0 && w.storms[w.at-1].ended.After(noon) {
		return
	}
	for _, t := range sheetTrucks {
		at := noon.Add(minutes(w.d.between(5, 40)))
		for _, i := range t.routes(s.season) {
			if r := routes[i]; r.zoneID == zones[z].id && !r.isRoundTrip && r.trafficAADT >= 2500 {
				at = w.wet(t, i, at)
			}
		}
	}
}

// clockOf is a time of the clock on the local day of an instant.
func clockOf(at time.Time, hour, minute int, place *time.Location) time.Time {
	local := at.In(place)
	return time.Date(local.Year(), local.Month(), local.Day(), hour, minute, 0, 0, place).UTC()
}

// wet puts a liquid on one route and returns when the truck is free again.
func (w *winter) wet(t truck, i int, at time.Time) time.Time {
	return w.along(t, i, at, func(p *pass, l leg) float64 {
		p.crewID, p.purpose, p.materialID, p.isTreating = zones[zoneIndex(t.zoneID)].dayCrew, "pretreat", "brine", true
		p.dispensedGal = round(w.d.between(33, 45)*l.laneMiles, 0)
		if routes[i].isAcetate(w.storms[w.at].season) {
			p.materialID, p.dispensedGal = "ka50", round(w.d.between(14, 19)*l.laneMiles, 0)
		}
		return 4
	})
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
		for _, i := range t.routes(s.season) {
			if w.d.chance(0.6) {
				at = w.sweep(t, zs, i, at)
			}
		}
		w.boxes.comeHome(t.id)
	}
}

// sweep cleans one route up and returns when the truck is free again.
func (w *winter) sweep(t truck, zs zoneStorm, i int, at time.Time) time.Time {
	treats := w.d.chance(0.22)
	return w.along(t, i, at, func(p *pass, l leg) float64 {
		p.plowDown, p.purpose = true, "cleanup"
		if treats {
			w.treat(p, t, zs)
		}
		return l.deadheadMin + 5
	})
}

// quietHours keep frost and drift passes out of the reach of every storm (36 h for passes that only plow).
const quietHours = 38

// workOutside adds the mornings of frost on bridges and the days of drifting between storms.
func (w *winter) workOutside(seed uint64) {
	d := newDraw(seed, "outside")
	w.at = -1
	for season, during := range spans {
		for day := during.from.AddDate(0, 0, 3); day.Before(during.to.AddDate(0, 0, -2)); day = day.AddDate(0, 0, 1) {
			at := clockOf(day, 5, 10, w.place)
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
	return !slices.ContainsFunc(w.storms, func(s storm) bool {
		return at.After(s.began.Add(-quietHours*time.Hour)) && at.Before(s.ended.Add(quietHours*time.Hour))
	})
}

// frost treats the two bridges lightly before the morning traffic.
func (w *winter) frost(at time.Time, season int) {
	for i, r := range sheetRoutes {
		if r.bridgeLaneMiles == 0 {
			continue
		}
		t := truckOf(r.trucks[season])
		at = w.along(t, i, at, func(p *pass, _ leg) float64 {
			p.purpose = "frost"
			p.putDown(w.d, "cma", 100)
			w.boxes.spread(t, *p)
			return 4
		})
		w.boxes.comeHome(t.id)
	}
}

// drift plows snow that the wind has laid on one open road.
func (w *winter) drift(at time.Time, season int) {
	i := []int{3, 4, 9}[w.d.IntN(3)]
	w.along(truckOf(routes[i].trucks[season]), i, at, func(p *pass, _ leg) float64 {
		p.plowDown, p.purpose = true, "drift"
		return 5
	})
}
