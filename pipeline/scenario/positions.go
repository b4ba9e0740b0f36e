package scenario

import (
	"fmt"
	"math"
	"slices"
	"strconv"
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
	truck      int
	road       int // in harborRoads; -1 off them
	at         time.Time
	lon, lat   float64
	speedMph   float64
	rateSetLb  float64
	totalLb    float64
	isTreating bool
	plowDown   bool
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
	return line{fate: fateAccepted, cells: []string{land.HarborTrucks[x.truck].ID, dateTime(x.at), text(x.lat), text(x.lon),
		text(x.speedMph), fmt.Sprint(x.isTreating), rate, text(x.totalLb), material, fmt.Sprint(x.plowDown), "1", land.HarborCrews[0].ID}}
}

// positionDeliveries is one packed file a local day, its rows by time, with a block told late, a buffer told again and bad rows.
func positionDeliveries(positions []position, place *time.Location, told *PositionsTruth) []*delivery {
	slices.SortStableFunc(positions, func(a, b position) int { return a.at.Compare(b.at) })
	var all []*delivery
	for _, x := range positions {
		name := "breadcrumbs-" + x.at.In(place).Format(time.DateOnly) + ".csv.gz"
		if len(all) == 0 || all[len(all)-1].name != name {
			all = append(all, &delivery{feed: "breadcrumbs", name: name, header: positionHeader, isGzip: true})
		}
		f := all[len(all)-1]
		f.lines = append(f.lines, x.line())
	}
	told.Files, told.Points = len(all), len(positions)
	again := slices.Clone(all[3].lines[max(0, len(all[3].lines)-repeatedRows):])
	for i := range again {
		again[i].fate = fateDuplicate
	}
	told.Duplicates = len(again)
	all[4].lines = append(again, all[4].lines...)
	all[2].tellLate(told)
	all[6].addBad(0, "unknown truck", "truck_id", "H7")
	lat, _ := strconv.ParseFloat(all[6].lines[1].cells[all[6].column("lat")], 64)
	all[6].addBad(1, "off the earth", "lat", text(lat*10))
	return all
}

// tellLate moves a block of rows behind the ones after it.
func (f *delivery) tellLate(told *PositionsTruth) {
	n := min(lateRows, len(f.lines)/3)
	told.OutOfOrder = n
	f.lines = slices.Concat(f.lines[:n], f.lines[2*n:], f.lines[n:2*n])
}

// addBad tells a row again three seconds later, with a cell for which it must be set aside.
func (f *delivery) addBad(row int, kind, column, cell string) {
	l := line{cells: slices.Clone(f.lines[row].cells), fate: fateQuarantined, kind: kind, column: column}
	at, _ := time.Parse(time.RFC3339, l.cells[f.column("at")])
	l.cells[f.column("at")], l.cells[f.column(column)] = dateTime(at.Add(3*time.Second)), cell
	f.lines = append(f.lines, l)
}
