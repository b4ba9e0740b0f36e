package scenario

import (
	"math"
	"slices"
	"sort"
	"time"

	"lanetally/pipeline/scenario/land"
)

// condition is one road state report.
type condition struct {
	route    int
	at       time.Time
	cover    string
	friction float64 // 0: not measured
}

// The law of the demo's regain times: hours from the zone's end of storm to bare pavement,
//
//	ln(hours) = ln(regainBaseH) + regainPerF (24 - air_f_mean) + acetate regainAcetate + storm + residual
//
// so that acetate roads are bare no later; experience does not enter.
const (
	regainBaseH      = 3.0
	regainPerF       = 0.02
	regainAcetate    = -0.04
	regainSDStorm    = 0.20
	regainSDResidual = 0.10
	neverBareShare   = 0.02 // of both classes: not bare within two days
	noReportsShare   = 0.03
	lookMin          = 55.0 // between reports in the hours after a storm
)

// regainH is the law without its random parts.
func regainH(zs land.ZoneStorm, isAcetate bool) float64 {
	y := math.Log(regainBaseH) + regainPerF*(24-zs.AirFMean)
	if isAcetate {
		y += regainAcetate
	}
	return math.Exp(y)
}

var covers = map[string][]string{ // read by key only
	land.KindSnow:     {"partly-covered", "covered", "slush", "covered", "partly-covered"},
	land.KindBlowing:  {"covered", "packed", "packed", "partly-covered"},
	land.KindFreezing: {"ice", "slush", "ice"},
	land.KindSleet:    {"slush", "partly-covered", "ice"},
	land.KindMixed:    {"slush", "ice", "covered", "slush"},
}

// patrol reports road state through and after every storm.
func patrol(seed uint64, storms []land.Storm, asOf time.Time) []condition {
	d := land.NewDraw(seed, "patrol")
	var all []condition
	for i, s := range storms {
		mood := d.Normal(0, regainSDStorm)
		for j, r := range land.SheetRoutes {
			z := land.ZoneIndex(r.ZoneID)
			if s.Zones[z].IsDry || d.Chance(noReportsShare) {
				continue
			}
			all = append(all, during(d, s, s.Zones[z], j)...)
			all = append(all, after(d, s, s.Zones[z], j, mood, windowEnd(storms, i, z, asOf))...)
		}
	}
	known := slices.DeleteFunc(all, func(c condition) bool { return c.at.After(asOf) })
	sort.SliceStable(known, func(i, j int) bool { return known[i].at.Before(known[j].at) })
	return known
}

// windowEnd is how long after a storm the patrol still looks: two days, or to the next storm, or to the data's end.
func windowEnd(storms []land.Storm, i, z int, asOf time.Time) time.Time {
	end := storms[i].Zones[z].Ended.Add(48 * time.Hour)
	if i+1 < len(storms) && storms[i+1].Zones[z].Began.Before(end) {
		end = storms[i+1].Zones[z].Began.Add(-10 * time.Minute)
	}
	if asOf.Before(end) {
		return asOf
	}
	return end
}

func during(d land.Draw, s land.Storm, zs land.ZoneStorm, i int) []condition {
	var all []condition
	for at := zs.Began.Add(land.Minutes(d.Between(40, 120))); at.Before(zs.Ended); at = at.Add(land.Minutes(d.Between(150, 230))) {
		kinds := covers[s.Kind]
		all = append(all, seen(d, i, at, kinds[d.IntN(len(kinds))]))
	}
	return all
}

func after(d land.Draw, s land.Storm, zs land.ZoneStorm, i int, mood float64, end time.Time) []condition {
	hours := regainH(zs, land.Routes[i].IsAcetate(s.Season)) * math.Exp(mood+d.Normal(0, regainSDResidual))
	bareAt := zs.Ended.Add(land.Hours(hours))
	if d.Chance(neverBareShare) {
		bareAt = zs.Ended.Add(60 * time.Hour)
	}
	var all []condition
	step, bares := lookMin, 0
	for at := zs.Ended.Add(land.Minutes(d.Between(8, 40))); !at.After(end) &&
		bares < 3; at = at.Add(land.Minutes(step + d.Between(-8, 8))) {
		cover := "slush"
		switch {
		case !at.Before(bareAt.Add(3 * time.Hour)):
			cover = "bare-dry"
		case !at.Before(bareAt):
			cover = "bare-wet"
		case at.Before(zs.Ended.Add(bareAt.Sub(zs.Ended) / 2)):
			cover = "partly-covered"
		}
		if !at.Before(bareAt) {
			bares++
		}
		if at.Sub(zs.Ended) > 8*time.Hour || bares > 0 {
			step = 160
		}
		all = append(all, seen(d, i, at, cover))
	}
	return all
}

var grip = map[string]float64{ // read by key only
	"bare-dry": 0.74, "bare-wet": 0.6, "slush": 0.36, "partly-covered": 0.33, "covered": 0.27, "packed": 0.24, "ice": 0.15,
}

// seen is a report; the bridges have a friction meter.
func seen(d land.Draw, i int, at time.Time, cover string) condition {
	c := condition{route: i, at: at.Truncate(time.Minute), cover: cover}
	if land.Routes[i].BridgeLaneMiles > 0 {
		c.friction = land.Round(land.Clamp(grip[cover]+d.Normal(0, 0.03), 0.05, 0.95), 2)
	}
	return c
}
