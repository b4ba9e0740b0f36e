package scenario

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/scenario/land"
)

// The harbor's receivers.
const (
	positionEvery  = 10 * time.Second
	positionNoiseM = 10.0 // standard deviation on either axis
	tunnelFromMi   = 3.1  // of H-03: no reception
	tunnelToMi     = 3.4
	frozenNth      = 3  // storm of the season in which the receiver of H1 froze on its first way out
	frozenPoints   = 24 // four minutes
	resetNth       = 11 // storm of the season in which the controller of H2 was started again and counts from 0
	repeatedRows   = 12 // a receiver's buffer told again the next day
	lateRows       = 30 // a block of rows that comes after those behind it
)

// counterTurns are the readings at which the trucks' counters go on from 0: 16 bits, and five digits.
var counterTurns = [2]float64{65536, 100000}

// position is one reported position.
type position struct {
	truck          int
	road           int // in harborRoads; -1 off them
	at             time.Time
	lon, lat       float64
	speedMph       float64
	rateSetLb      float64
	totalLb        float64
	isTreating     bool
	plowDown       bool
	fate, column   string
	kind, badTruck string
}

// receiver follows one truck through the season.
type receiver struct {
	truck   int
	noiseM  float64
	d       land.Draw
	countLb float64 // since the counter was new
	turns   int     // how often it went on from 0
	storm   int
	nth     int
	frozen  int // positions still to come from the frozen receiver
	last    position
	told    *PositionsTruth
}

// receive gives all positions of the season, truck by truck in time order.
func (h *harbor) receive(seed uint64, noiseM float64, told *PositionsTruth) []position {
	var all []position
	for truck := range land.HarborTrucks {
		r := receiver{truck: truck, noiseM: noiseM, d: land.NewDraw(seed, "receiver "+land.HarborTrucks[truck].ID), storm: -1,
			countLb: 31000 + 17000*float64(truck), told: told}
		for _, drive := range h.drives {
			if drive.truck == truck {
				all = append(all, r.follow(h, drive)...)
			}
		}
	}
	return all
}

// follow samples one drive.
func (r *receiver) follow(h *harbor, drive drive) []position {
	isFirst := drive.storm != r.storm
	if isFirst {
		r.storm = drive.storm
		r.nth++
	}
	var all []position
	due := time.Duration(r.d.IntN(10)) * time.Second
	began := time.Duration(0)
	for i, s := range drive.steps {
		length := time.Duration(s.seconds) * time.Second
		p := pass{}
		if s.pass >= 0 {
			p = h.passes[s.pass]
		}
		if r.truck == 0 && r.nth == frozenNth && isFirst && i == 1 {
			r.frozen = frozenPoints
		}
		if r.truck == 1 && r.nth == resetNth && isFirst && i == 2 {
			r.countLb, r.turns = 0, 0
			r.told.Resets++
		}
		for ; due < began+length; due += positionEvery {
			share := float64(due-began) / float64(length)
			all = r.report(all, s, p, share, drive.began.Add(due))
		}
		r.countLb += p.dispensedLb
		began += length
	}
	return all
}

// report adds a position unless the truck is in the tunnel.
func (r *receiver) report(all []position, s step, p pass, share float64, at time.Time) []position {
	if mi := s.from + share*(s.to-s.from); s.road == 2 && mi > tunnelFromMi && mi < tunnelToMi {
		r.told.InTunnel++
		return all
	}
	spot := s.where(share)
	x := position{truck: r.truck, road: s.road, at: at, speedMph: land.Round(s.speedMph(), 1), isTreating: p.isTreating,
		plowDown:  p.plowDown,
		rateSetLb: p.rateSetLb}
	x.lon, x.lat = land.Place{X: spot.X + r.d.Normal(0, r.noiseM), Y: spot.Y + r.d.Normal(0, r.noiseM)}.Degrees()
	if r.frozen > 0 && share > 0.3 {
		if r.frozen == frozenPoints {
			r.told.FrozenFromAt = dateTime(at)
		}
		r.frozen--
		x.lon, x.lat = r.last.lon, r.last.lat
		r.told.FrozenToAt = dateTime(at)
	}
	turn := counterTurns[r.truck]
	counted := r.countLb + share*p.dispensedLb
	x.totalLb = math.Floor(math.Mod(counted, turn))
	if turns := int(counted / turn); turns > r.turns {
		r.turns = turns
		r.told.Wraps++
	}
	r.last = x
	return append(all, x)
}

var positionHeader = []string{"truck_id", "at", "lat", "lon", "speed_mph", "spreading", "rate_lb_per_lane_mi", "dispensed_total_lb",
	"material_id", "plow_down", "lanes", "crew_id"}

// line writes a position.
func (x position) line() line {
	material, rate := "", ""
	if x.isTreating {
		material, rate = "salt", text(x.rateSetLb)
	}
	truckID := land.HarborTrucks[x.truck].ID
	if x.badTruck != "" {
		truckID = x.badTruck
	}
	raw := strings.Join([]string{truckID, dateTime(x.at), text(x.lat), text(x.lon), text(x.speedMph), fmt.Sprint(x.isTreating), rate,
		text(x.totalLb), material,
		fmt.Sprint(x.plowDown), "1", land.HarborCrews[0].ID}, ",")
	fate := x.fate
	if fate == "" {
		fate = fateAccepted
	}
	return line{raw: raw, fate: fate, kind: x.kind, column: x.column}
}

// positionDeliveries is one packed file a local day, its rows by time, with a block told late, a buffer told again and bad rows.
func positionDeliveries(positions []position, place *time.Location, told *PositionsTruth) []*delivery {
	slices.SortStableFunc(positions, func(a, b position) int { return a.at.Compare(b.at) })
	byDay := map[string][]position{}
	var days []string
	for _, x := range positions {
		day := x.at.In(place).Format(time.DateOnly)
		if byDay[day] == nil {
			days = append(days, day)
		}
		byDay[day] = append(byDay[day], x)
	}
	var all []*delivery
	for i, day := range days {
		rows := byDay[day]
		switch i {
		case 2:
			rows = tellLate(rows, told)
		case 4:
			rows = append(againAll(byDay[days[3]], told), rows...)
		case 6:
			rows = append(rows, badPositions(rows)...)
		}
		f := &delivery{feed: "breadcrumbs", name: "breadcrumbs-" + day + ".csv.gz", header: positionHeader, isGzip: true}
		for _, x := range rows {
			f.lines = append(f.lines, x.line())
		}
		all = append(all, f)
	}
	told.Files = len(all)
	told.Points = len(positions)
	return all
}

// tellLate moves a block of rows behind the ones after it.
func tellLate(rows []position, told *PositionsTruth) []position {
	n := min(lateRows, len(rows)/3)
	told.OutOfOrder = n
	return slices.Concat(rows[:n], rows[2*n:], rows[n:2*n])
}

// againAll tells the last rows of the day before once more.
func againAll(before []position, told *PositionsTruth) []position {
	rows := slices.Clone(before[max(0, len(before)-repeatedRows):])
	for i := range rows {
		rows[i].fate = fateDuplicate
	}
	told.Duplicates = len(rows)
	return rows
}

// badPositions are rows that must be set aside.
func badPositions(rows []position) []position {
	bad := slices.Clone(rows[:2])
	for i := range bad {
		bad[i].at = bad[i].at.Add(3 * time.Second)
		bad[i].fate = fateQuarantined
	}
	bad[0].badTruck, bad[0].kind, bad[0].column = "H7", "unknown truck", "truck_id"
	bad[1].lat, bad[1].kind, bad[1].column = bad[1].lat*10, "off the earth", "lat"
	return bad
}
