package scenario

import (
	"math"
	"time"

	"lanetally/pipeline/scenario/land"
)

// harbor is the work of the zone with receivers.
type harbor struct {
	passes []pass
	drives []drive // of the second season
	boxes  *boxes
}

// drive is one truck's way from its yard and back.
type drive struct {
	truck int // in harborTrucks
	storm int
	began time.Time
	steps []step
}

// step is a part of a drive at even speed: along a road, at rest on it, or over land.
type step struct {
	road     int // in harborRoads; -1 over land
	from, to float64
	a, b     land.Place
	seconds  int
	pass     int // in harbor.passes; -1: none
}

// The planted work: in one storm the far end of the viaduct road was closed, in another a part of the quay road was treated twice.
const (
	missedNth, missedFromMi = 5, 3.6 // storm of the second season, mile of H-03 where the trucks turned round
	twiceNth, twiceToMi     = 8, 1.2 // storm, mile of H-02 up to which it was treated twice
)

// harborYard is where a truck starts, some 500 m off their routes.
func harborYard(truck int) land.Place {
	start := land.HarborRoads[2*truck].Corners[0]
	return land.Place{X: start.X - 400, Y: start.Y - 300}
}

// workHarbor sends the harbor's trucks out in every storm that reaches the zone.
func workHarbor(seed uint64, storms []land.Storm, e effects, asOf time.Time) *harbor {
	h := &harbor{boxes: newBoxes(seed, "harbor loads")}
	d := land.NewDraw(seed, "harbor work")
	nth := [2]int{}
	for i, s := range storms {
		zs := s.Zones[land.ZoneIndex("harbor")]
		if zs.IsDry || zs.Hours < 0.5 {
			continue
		}
		nth[s.Season]++
		var rates [3]float64
		for r := range rates {
			rates[r] = math.Exp(e.lnRate(i, zs, len(land.SheetRoutes)+r, len(land.SheetCrews), false, 0) + d.Normal(0, lawSDResidual))
		}
		for truck := range land.HarborTrucks {
			h.work(truck, tour{d: d, h: h, storm: i, season: s.Season, nth: nth[s.Season], zs: zs, rates: rates}, asOf)
		}
	}
	return h
}

// work keeps one truck on its roads through a storm; a tour tells what it finds.
func (h *harbor) work(truck int, found tour, asOf time.Time) {
	d := found.d
	at := found.zs.Began.Add(land.Minutes(d.Between(0, 40))).Truncate(time.Second)
	end := found.zs.Ended.Add(land.Minutes(d.Between(0, 40)))
	for round := 0; at.Before(end); round++ {
		t := found
		t.at, t.drive = at, drive{truck: truck, storm: t.storm, began: at}
		t.isTreating, t.isPlowing = does(t.zs, d, round)
		t.cross(harborYard(truck), land.HarborRoads[2*truck].Corners[0])
		t.round(truck)
		t.cross(land.HarborRoads[2*truck].Corners[0], harborYard(truck))
		if t.at.After(asOf) {
			h.passes = h.passes[:len(h.passes)-len(t.passes)]
			return
		}
		h.keep(t)
		at = at.Add(land.Minutes(d.Between(180, 270))).Truncate(time.Second)
	}
	h.boxes.comeHome(land.HarborTrucks[truck].ID)
}

// keep loads and keeps a finished tour.
func (h *harbor) keep(t tour) {
	for _, i := range t.passes {
		if p := h.passes[i]; p.isTreating {
			h.boxes.spread(land.HarborTrucks[t.drive.truck], p)
		}
	}
	if t.season == 1 {
		h.drives = append(h.drives, t.drive)
	}
}

// tour is one drive as it comes about, in the nth storm of a season in the harbor.
type tour struct {
	d                     land.Draw
	h                     *harbor
	storm, season, nth    int
	zs                    land.ZoneStorm
	rates                 [3]float64
	at                    time.Time
	isTreating, isPlowing bool
	drive                 drive
	passes                []int
}

// round drives the truck's roads: the main road both ways and then the quay road, or the viaduct road.
func (t *tour) round(truck int) {
	if truck == 1 {
		end := land.HarborRoutes[2].ToMi
		if t.season == 1 && t.nth == missedNth {
			end = missedFromMi
		}
		t.bothWays(2, end)
		return
	}
	t.bothWays(0, land.HarborRoutes[0].ToMi)
	t.along(0, 0, land.QuayFromMi, 25, -1)
	t.bothWays(1, land.HarborRoutes[1].ToMi)
	if t.season == 1 && t.nth == twiceNth {
		t.bothWays(1, twiceToMi)
	}
	t.along(0, land.QuayFromMi, 0, 25, -1)
}

// bothWays works a road from its begin to a mile and back.
func (t *tour) bothWays(road int, end float64) {
	t.pass(road, 0, end)
	t.add(step{road: road, from: end, to: end, seconds: 30 + t.d.IntN(30), pass: -1}) // it turns round
	t.pass(road, end, 0)
}

// pass works a stretch in one direction.
func (t *tour) pass(road int, from, to float64) {
	speed := land.Round(t.d.Between(18, 24), 0)
	p := pass{truckID: land.HarborTrucks[t.drive.truck].ID, crewID: land.HarborCrews[0].ID, route: len(land.SheetRoutes) + road,
		began:  t.at,
		fromMi: from, toMi: to, lanes: 1, laneMiles: math.Abs(to - from), plowDown: t.isPlowing, purpose: "storm", speedMph: speed,
		storm: t.storm}
	if t.isTreating {
		p.putDown(t.d, "salt", t.rates[road])
	}
	t.along(road, from, to, speed, len(t.h.passes))
	p.ended = t.at
	t.passes = append(t.passes, len(t.h.passes))
	t.h.passes = append(t.h.passes, p)
}

func (t *tour) add(s step) {
	t.drive.steps = append(t.drive.steps, s)
	t.at = t.at.Add(time.Duration(s.seconds) * time.Second)
}

// along drives a stretch of a road; pass is -1 where the truck only travels.
func (t *tour) along(road int, from, to, speedMph float64, pass int) {
	t.add(step{road: road, from: from, to: to, seconds: int(math.Ceil(math.Abs(to-from) / speedMph * 3600)), pass: pass})
}

// cross drives over land at 20 mph.
func (t *tour) cross(a, b land.Place) {
	t.add(step{road: -1, a: a, b: b, seconds: int(math.Ceil(a.Away(b) / (20 * land.MetresAMile / 3600))), pass: -1})
}

// where is the place after a share of the step.
func (s step) where(share float64) land.Place {
	if s.road < 0 {
		return s.a.Toward(s.b, share)
	}
	return land.HarborRoads[s.road].At(s.from + share*(s.to-s.from))
}

// speedMph is the step's even speed.
func (s step) speedMph() float64 {
	metres := s.a.Away(s.b)
	if s.road >= 0 {
		metres = math.Abs(s.to-s.from) * land.MetresAMile
	}
	return metres / float64(max(s.seconds, 1)) / land.MetresAMile * 3600
}
