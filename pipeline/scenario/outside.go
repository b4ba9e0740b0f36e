package scenario

import (
	"slices"
	"sort"
	"time"

	"lanetally/pipeline/scenario/land"
)

// pretreat wets dry roads with a liquid on the afternoon before some snow storms.
func (w *winter) pretreat(z int, zs land.ZoneStorm) {
	s := w.storms[w.at]
	if s.Kind != land.KindSnow || s.IsOpen || w.at%5 >= 2 || zs.AirFMean < 20 {
		return
	}
	noon := clockOf(zs.Began, 13, 0, w.place)
	if zs.Began.In(w.place).Hour() < 17 {
		noon = clockOf(zs.Began.In(w.place).AddDate(0, 0, -1), 13, 0, w.place)
	}
	if w.at > 0 && w.storms[w.at-1].Ended.After(noon) {
		return
	}
	for _, t := range land.SheetTrucks {
		at := noon.Add(land.Minutes(w.d.Between(5, 40)))
		for _, i := range routes(t, s.Season) {
			if r := land.Routes[i]; r.ZoneID == land.Zones[z].ID && !r.IsRoundTrip && r.TrafficAADT >= 2500 {
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
func (w *winter) wet(t land.Truck, i int, at time.Time) time.Time {
	return w.along(t, i, at, func(p *pass, l leg) float64 {
		p.crewID, p.purpose, p.materialID, p.isTreating = land.Zones[land.ZoneIndex(t.ZoneID)].DayCrew, "pretreat", "brine", true
		p.dispensedGal = land.Round(w.d.Between(33, 45)*l.laneMiles, 0)
		if land.Routes[i].IsAcetate(w.storms[w.at].Season) {
			p.materialID, p.dispensedGal = "ka50", land.Round(w.d.Between(14, 19)*l.laneMiles, 0)
		}
		return 4
	})
}

// cleanUp plows the shoulders after a snow storm and treats what is left on some routes.
func (w *winter) cleanUp(z int, zs land.ZoneStorm) {
	s := w.storms[w.at]
	if s.IsOpen || zs.FreezingH >= 0.5 {
		return
	}
	for _, t := range land.SheetTrucks {
		if t.ZoneID != land.Zones[z].ID {
			continue
		}
		at := zs.Ended.Add(land.Minutes(w.d.Between(100, 330)))
		if free := w.freeAt[t.ID]; at.Before(free) {
			at = free.Add(land.Minutes(w.d.Between(5, 20)))
		}
		for _, i := range routes(t, s.Season) {
			if w.d.Chance(0.6) {
				at = w.sweep(t, zs, i, at)
			}
		}
		w.boxes.comeHome(t.ID)
	}
}

// sweep cleans one route up and returns when the truck is free again.
func (w *winter) sweep(t land.Truck, zs land.ZoneStorm, i int, at time.Time) time.Time {
	treats := w.d.Chance(0.22)
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
	d := land.NewDraw(seed, "outside")
	w.at = -1
	for season, during := range land.Spans {
		for day := during.From.AddDate(0, 0, 3); day.Before(during.To.AddDate(0, 0, -2)); day = day.AddDate(0, 0, 1) {
			at := clockOf(day, 5, 10, w.place)
			if !w.isQuiet(at) {
				continue
			}
			switch {
			case w.isFrosty(season, at) && d.Chance(0.8):
				w.whiten(at, season)
				w.frost(at, season)
			case w.isDrifting(season, at.Add(land.Hours(4))):
				w.drift(at.Add(land.Hours(4)), season)
			}
		}
	}
}

// isFrosty: clear, the bridges' air near or below freezing, no deep cold, and a pavement sensor that tells it.
func (w *winter) isFrosty(season int, at time.Time) bool {
	r := w.lastReport(season, land.ZoneIndex("plain"), at)
	return r.Wx == "" && r.HasSurface && !r.IsFaulty && r.SurfaceF <= 32 && r.AirF >= 22 && r.AirF-r.DewF < 9
}

// isDrifting: snow on the ground and wind enough to move it.
func (w *winter) isDrifting(season int, at time.Time) bool {
	r := w.lastReport(season, land.ZoneIndex("ridge"), at)
	return r.SnowDepthIn >= 2 && r.WindMph >= 10
}

// lastReport is the zone's latest report at a time.
func (w *winter) lastReport(season, z int, at time.Time) land.Report {
	reports := w.reports[season][z]
	after := sort.Search(len(reports), func(i int) bool { return reports[i].At.After(at) })
	return reports[max(after-1, 0)]
}

func (w *winter) isQuiet(at time.Time) bool {
	return !slices.ContainsFunc(w.storms, func(s land.Storm) bool {
		return at.After(s.Began.Add(-quietHours*time.Hour)) && at.Before(s.Ended.Add(quietHours*time.Hour))
	})
}

// frost treats the two bridges lightly before the morning traffic.
func (w *winter) frost(at time.Time, season int) {
	for i, r := range land.SheetRoutes {
		if r.BridgeLaneMiles == 0 {
			continue
		}
		t := land.TruckOf(r.Truck(season))
		at = w.along(t, i, at, func(p *pass, _ leg) float64 {
			p.purpose = "frost"
			p.putDown(w.d, "cma", 100)
			w.boxes.spread(t, *p)
			return 4
		})
		w.boxes.comeHome(t.ID)
	}
}

// drift plows snow that the wind has laid on one open road.
func (w *winter) drift(at time.Time, season int) {
	i := []int{3, 4, 9}[w.d.IntN(3)]
	w.along(land.TruckOf(land.Routes[i].Truck(season)), i, at, func(p *pass, _ leg) float64 {
		p.plowDown, p.purpose = true, "drift"
		return 5
	})
}
