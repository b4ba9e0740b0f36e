package scenario

import (
	"math"
	"time"
)

// winter is the work of two seasons as it comes about, storm by storm.
type winter struct {
	place   *time.Location
	asOf    time.Time
	storms  []storm
	reports [2][][]report // by season and zone
	effects effects
	d       draw
	passes  []pass
	boxes   *boxes
	prior   []int // acetate storms worked, by crew
	latest  []int // the same before its latest one, by crew
	plan    planted

	// of the storm at hand
	at     int
	target map[[2]int]float64   // route, crew -> lb per lane-mile; read by key only
	worked []bool               // by crew: acetate put down in this storm
	freeAt map[string]time.Time // by truck: when it is free again; read by key only
}

// workWinters sends the trucks out, storm after storm.
func workWinters(seed uint64, storms []storm, reports [2][][]report, asOf time.Time, place *time.Location) *winter {
	w := &winter{place: place, asOf: asOf, storms: storms, reports: reports, effects: drawEffects(seed, storms), d: newDraw(seed, "work"),
		boxes: newBoxes(seed, "loads"), plan: planFacts(storms), freeAt: map[string]time.Time{}}
	for _, c := range crews {
		w.prior = append(w.prior, c.priorAcetateStorms)
		w.latest = append(w.latest, 0)
	}
	for i := range storms {
		w.work(i)
	}
	w.workOutside(seed)
	w.plant(seed)
	return w
}

func (w *winter) work(i int) {
	w.at, w.target, w.worked = i, map[[2]int]float64{}, make([]bool, len(crews))
	for z := range sheetZones {
		zs := w.storms[i].zones[z]
		if zs.isDry || zs.hours < 0.5 {
			continue
		}
		w.pretreat(z, zs)
		for _, t := range sheetTrucks {
			if zones[z].id == t.zoneID {
				w.drive(t, zs)
			}
		}
		w.cleanUp(z, zs)
	}
	for c, has := range w.worked {
		if has {
			w.latest[c] = w.prior[c]
			w.prior[c]++
		}
	}
}

// drive keeps one truck on its routes from the storm's begin to its end.
func (w *winter) drive(t truck, zs zoneStorm) {
	at := zs.began.Add(minutes(w.d.between(-12, 55)))
	end := zs.ended.Add(minutes(w.d.between(0, 50)))
	for round := 0; at.Before(end); round++ {
		began := at
		for _, i := range t.routes(w.storms[w.at].season) {
			at = w.round(t, zs, i, round, at)
		}
		if least := began.Add(minutes(w.d.between(90, 150))); at.Before(least) {
			at = least
		}
	}
	w.freeAt[t.id] = at
	w.boxes.comeHome(t.id)
}

// routes are those that the truck with sheets works in a season.
func (t truck) routes(season int) (own []int) {
	for i, r := range sheetRoutes {
		if r.trucks[season] == t.id {
			own = append(own, i)
		}
	}
	return own
}

// does is what a truck does on a round of a storm: it treats on the first and on ice, later by chance, and plows on all but the first.
func (zs zoneStorm) does(d draw, round int, treatShare float64) (isTreating, isPlowing bool) {
	isIce := zs.freezingH >= 0.5
	return round == 0 || isIce || d.chance(treatShare), !isIce && round > 0
}

// round drives one route once, treating or only plowing, and returns when the truck is free again.
func (w *winter) round(t truck, zs zoneStorm, i, round int, at time.Time) time.Time {
	share := treatShareSalt
	if routes[i].isAcetate(w.storms[w.at].season) {
		share = treatShareOther
	}
	isTreating, isPlowing := zs.does(w.d, round, share)
	if !isTreating && !isPlowing {
		return at.Add(minutes(20))
	}
	if isTreating && w.d.chance(0.03) {
		at = w.spot(t, i, at)
	}
	return w.along(t, i, at, func(p *pass, l leg) float64 {
		p.plowDown, p.purpose = isPlowing, "storm"
		if isTreating {
			w.treat(p, t, zs)
		}
		return l.deadheadMin + w.d.between(2, 9)
	})
}

// along drives a route once, leg by leg, and returns when the truck is free again. fill says what each pass does, and how many minutes
// lie between it and the next.
func (w *winter) along(t truck, i int, at time.Time, fill func(p *pass, l leg) (restMin float64)) time.Time {
	for _, l := range routes[i].legs() {
		p := w.newPass(t, i, l, at)
		restMin := fill(&p, l)
		w.log(p)
		at = p.ended.Add(minutes(restMin))
	}
	return at
}

// newPass is a pass over a leg without material.
func (w *winter) newPass(t truck, i int, l leg, at time.Time) pass {
	at = at.Truncate(time.Minute)
	speed := round(w.d.between(19, 27), 0)
	if routes[i].miles() < 8 {
		speed -= 3
	}
	isLent := w.plan.isLent(w.at, i)
	if isLent {
		t.id = lentTruckID
	}
	ended := at.Add(minutes(max(20, l.minutes(routes[i], speed)))).Truncate(time.Minute)
	return pass{truckID: t.id, isLent: isLent, crewID: w.onShift(zoneIndex(routes[i].zoneID), at), route: i, began: at, ended: ended,
		fromMi: l.fromMi, toMi: l.toMi, lanes: l.lanes, laneMilesGiven: l.laneMilesGiven, laneMiles: l.laneMiles, speedMph: speed,
		storm: w.at}
}

func (w *winter) onShift(z int, at time.Time) string {
	if isDayShift(at.In(w.place)) {
		return zones[z].dayCrew
	}
	return zones[z].nightCrew
}

// treat puts the route's material down at the crew's rate for this storm, and some sand in deep cold.
func (w *winter) treat(p *pass, t truck, zs zoneStorm) {
	materialID := routes[p.route].solids(w.storms[p.storm].season)
	rate := w.rate(p.route, crewIndex(p.crewID), zs, materialID == "cma")
	if materialID == "salt" && zs.airFMean < 15 && w.d.chance(0.15) {
		materialID, rate = "sand", 600
	}
	p.putDown(w.d, materialID, rate)
	if materialID == "salt" && zones[zoneIndex(t.zoneID)].garage == "north" && zs.airFMean < 26 {
		p.prewetGal = round(p.dispensedLb/2000*8, 1)
	}
	w.boxes.spread(t, *p)
}

// putDown spreads solids at a rate, each pass a little off it.
func (p *pass) putDown(d draw, materialID string, rateLb float64) {
	p.isTreating, p.materialID, p.rateSetLb = true, materialID, round(rateLb/10, 0)*10
	p.dispensedLb = round(rateLb*p.laneMiles*math.Exp(d.normal(0, lawSDPass)), 0)
}

// rate is the crew's rate on a route in the storm at hand, drawn once. 0 prior storms: x = 0.
func (w *winter) rate(i, c int, zs zoneStorm, isAcetate bool) float64 {
	key := [2]int{i, c}
	if rate, has := w.target[key]; has {
		return rate
	}
	y := w.effects.lnRate(w.at, zs, i, c, isAcetate, w.prior[c]) + w.effects.residual.normal(0, lawSDResidual)
	w.target[key] = math.Exp(y)
	return w.target[key]
}

// spot treats one place, a ramp or a curve, and returns when the truck is free again.
func (w *winter) spot(t truck, i int, at time.Time) time.Time {
	r := routes[i]
	post := round(w.d.between(r.fromMi, r.toMi), 1)
	p := w.newPass(t, i, leg{fromMi: post, toMi: post}, at)
	p.ended = p.began.Add(minutes(round(w.d.between(4, 12), 0)))
	p.isSpot, p.isTreating, p.purpose, p.materialID = true, true, "storm", r.solids(w.storms[w.at].season)
	p.note = "spot: " + []string{"ramp", "curve", "junction", "hill"}[w.d.IntN(4)]
	p.dispensedLb = round(w.d.between(120, 480), 0)
	w.boxes.spread(t, p)
	w.log(p)
	return p.ended.Add(minutes(3))
}

// log keeps a pass that the data can already know, and the crew's experience with it.
func (w *winter) log(p pass) {
	if p.ended.After(w.asOf) {
		return
	}
	w.plan.mark(&p)
	isAcetate := p.materialID == "cma" || p.materialID == "ka50"
	if isAcetate && p.storm >= 0 && !p.isUnlogged && !p.isLent {
		w.worked[crewIndex(p.crewID)] = true
	}
	w.passes = append(w.passes, p)
}

func minutes(m float64) time.Duration {
	return time.Duration(m * float64(time.Minute)).Round(time.Second)
}
