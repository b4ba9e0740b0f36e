package scenario

import (
	"math"
	"time"

	"lanetally/pipeline/scenario/land"
)

// winter is the work of two seasons as it comes about, storm by storm.
type winter struct {
	place   *time.Location
	asOf    time.Time
	storms  []land.Storm
	reports [2][][]land.Report // by season and zone
	effects effects
	d       land.Draw
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
func workWinters(seed uint64, storms []land.Storm, reports [2][][]land.Report, asOf time.Time, place *time.Location) *winter {
	w := &winter{place: place, asOf: asOf, storms: storms, reports: reports, effects: drawEffects(seed, storms),
		d:     land.NewDraw(seed, "work"),
		boxes: newBoxes(seed, "loads"), plan: planFacts(storms), freeAt: map[string]time.Time{}}
	for _, c := range land.Crews {
		w.prior = append(w.prior, c.PriorAcetateStorms)
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
	w.at, w.target, w.worked = i, map[[2]int]float64{}, make([]bool, len(land.Crews))
	for z := range land.SheetZones {
		zs := w.storms[i].Zones[z]
		if zs.IsDry || zs.Hours < 0.5 {
			continue
		}
		w.pretreat(z, zs)
		for _, t := range land.SheetTrucks {
			if land.Zones[z].ID == t.ZoneID {
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
func (w *winter) drive(t land.Truck, zs land.ZoneStorm) {
	at := zs.Began.Add(land.Minutes(w.d.Between(-12, 55)))
	end := zs.Ended.Add(land.Minutes(w.d.Between(0, 50)))
	for round := 0; at.Before(end); round++ {
		began := at
		for _, i := range routes(t, w.storms[w.at].Season) {
			at = w.round(t, zs, i, round, at)
		}
		if least := began.Add(land.Minutes(w.d.Between(cycleFromMin, cycleToMin))); at.Before(least) {
			at = least
		}
	}
	w.freeAt[t.ID] = at
	w.boxes.comeHome(t.ID)
}

// routes are those that the truck with sheets works in a season.
func routes(t land.Truck, season int) (own []int) {
	for i, r := range land.SheetRoutes {
		if r.Truck(season) == t.ID {
			own = append(own, i)
		}
	}
	return own
}

// does is what a truck does on a round of a storm: it treats on the first and on ice, later by chance, and plows on all but these.
func does(zs land.ZoneStorm, d land.Draw, round int) (isTreating, isPlowing bool) {
	isIce := zs.FreezingH >= 0.5
	return round == 0 || isIce || d.Chance(treatShare), !isIce && round > 0
}

// round drives one route once, treating or only plowing, and returns when the truck is free again.
func (w *winter) round(t land.Truck, zs land.ZoneStorm, i, round int, at time.Time) time.Time {
	isTreating, isPlowing := does(zs, w.d, round)
	if isTreating && w.d.Chance(0.03) {
		at = w.spot(t, i, at)
	}
	return w.along(t, i, at, func(p *pass, l leg) float64 {
		p.plowDown, p.purpose = isPlowing, "storm"
		if isTreating {
			w.treat(p, t, zs)
		}
		return l.deadheadMin + w.d.Between(2, 9)
	})
}

// along drives a route once, leg by leg, and returns when the truck is free again. fill says what each pass does, and how many minutes
// lie between it and the next.
func (w *winter) along(t land.Truck, i int, at time.Time, fill func(p *pass, l leg) (restMin float64)) time.Time {
	for _, l := range legs(land.Routes[i]) {
		p := w.newPass(t, i, l, at)
		restMin := fill(&p, l)
		w.log(p)
		at = p.ended.Add(land.Minutes(restMin))
	}
	return at
}

// newPass is a pass over a leg without material.
func (w *winter) newPass(t land.Truck, i int, l leg, at time.Time) pass {
	at = at.Truncate(time.Minute)
	speed := land.Round(w.d.Between(19, 27), 0)
	if land.Routes[i].Miles() < 8 {
		speed -= 3
	}
	isLent := w.plan.isLent(w.at, i)
	if isLent {
		t.ID = land.LentTruckID
	}
	ended := at.Add(land.Minutes(max(20, l.minutes(land.Routes[i], speed)))).Truncate(time.Minute)
	return pass{truckID: t.ID, isLent: isLent, crewID: w.onShift(land.ZoneIndex(land.Routes[i].ZoneID), at), route: i, began: at,
		ended:  ended,
		fromMi: l.fromMi, toMi: l.toMi, lanes: l.lanes, laneMilesGiven: l.laneMilesGiven, laneMiles: l.laneMiles, speedMph: speed,
		storm: w.at}
}

func (w *winter) onShift(z int, at time.Time) string {
	if isDayShift(at.In(w.place)) {
		return land.Zones[z].DayCrew
	}
	return land.Zones[z].NightCrew
}

// treat puts the route's material down at the crew's rate for this storm, and in deep cold often sand on the roads of least traffic, which
// are of no pair.
func (w *winter) treat(p *pass, t land.Truck, zs land.ZoneStorm) {
	materialID, crew := land.Routes[p.route].Solids(w.storms[p.storm].Season), land.CrewIndex(p.crewID)
	rate := w.rate(p.route, crew, zs, materialID == "cma")
	if land.Routes[p.route].TrafficAADT < 1500 && zs.AirFMean < 15 && w.d.Chance(0.5) {
		materialID, rate = "sand", 600
	}
	p.putDown(w.d, materialID, rate)
	if materialID == "cma" {
		p.x, p.lnRatio = experience(w.prior[crew]), lnRatio(crew, w.prior[crew])+math.Log(thrown(t, materialID, 1, p.began)/t.Spread)
	}
	if materialID == "salt" && land.Zones[land.ZoneIndex(t.ZoneID)].Garage == "north" && zs.AirFMean < 26 {
		p.prewetGal = land.Round(p.dispensedLb/2000*8, 1)
	}
	w.boxes.spread(t, *p)
}

// putDown spreads solids at a rate, each pass a little off it.
func (p *pass) putDown(d land.Draw, materialID string, rateLb float64) {
	p.isTreating, p.materialID, p.rateSetLb = true, materialID, land.Round(rateLb/10, 0)*10
	p.dispensedLb = land.Round(rateLb*p.laneMiles*math.Exp(d.Normal(0, lawSDPass)), 0)
}

// rate is the crew's rate on a route in the storm at hand, drawn once. 0 prior storms: x = 0.
func (w *winter) rate(i, c int, zs land.ZoneStorm, isAcetate bool) float64 {
	key := [2]int{i, c}
	if rate, has := w.target[key]; has {
		return rate
	}
	y := w.effects.lnRate(w.at, zs, i, c, isAcetate, w.prior[c]) + w.effects.residual.Normal(0, lawSDResidual)
	w.target[key] = math.Exp(y)
	return w.target[key]
}

// spot treats one place, a ramp or a curve, and returns when the truck is free again.
func (w *winter) spot(t land.Truck, i int, at time.Time) time.Time {
	r := land.Routes[i]
	post := land.Round(w.d.Between(r.FromMi, r.ToMi), 1)
	p := w.newPass(t, i, leg{fromMi: post, toMi: post}, at)
	p.ended = p.began.Add(land.Minutes(land.Round(w.d.Between(4, 12), 0)))
	p.isSpot, p.isTreating, p.purpose, p.materialID = true, true, "storm", r.Solids(w.storms[w.at].Season)
	p.note = "spot: " + []string{"ramp", "curve", "junction", "hill"}[w.d.IntN(4)]
	p.dispensedLb = land.Round(w.d.Between(120, 480), 0)
	w.boxes.spread(t, p)
	w.log(p)
	return p.ended.Add(land.Minutes(3))
}

// log keeps a pass that the data can already know, and the crew's experience with it.
func (w *winter) log(p pass) {
	if p.ended.After(w.asOf) {
		return
	}
	w.plan.mark(&p)
	isAcetate := p.materialID == "cma" || p.materialID == "ka50"
	if isAcetate && p.storm >= 0 && !p.isUnlogged && !p.isLent {
		w.worked[land.CrewIndex(p.crewID)] = true
	}
	w.passes = append(w.passes, p)
}
