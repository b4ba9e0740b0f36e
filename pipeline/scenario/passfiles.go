package scenario

import (
	"slices"
	"strings"
	"time"
)

// The passes that a garage logs one file a month. The three garages use three layouts of the same contract.
var passHeaders = [3][]string{
	{"pass_id", "truck_id", "crew_id", "route_id", "began_at", "ended_at", "from_mi", "to_mi", "lanes", "lane_miles", "material_id", "rate_set_lb_per_lane_mi",
		"dispensed_lb", "dispensed_gal", "prewet_gal", "prewet_material_id", "plow_down", "purpose", "gate_in", "spinner_setting", "speed_mph", "note"},
	{"pass_id", "route_id", "truck_id", "crew_id", "began_at", "ended_at", "from_mi", "to_mi", "lanes", "material_id", "rate_set_lb_per_lane_mi",
		"dispensed_lb", "dispensed_gal", "plow_down", "purpose", "note"},
	{"truck_id", "crew_id", "route_id", "began_at", "ended_at", "from_mi", "to_mi", "lanes", "lane_miles", "material_id", "rate_set_lb_per_lane_mi",
		"dispensed_lb", "dispensed_gal", "plow_down", "purpose", "speed_mph", "note"},
}

// strangeMonth is the one month in which the lakeside export also holds a column that no contract knows.
const (
	strangeMonth  = "2028-11"
	strangeColumn = "odometer_mi"
)

// passDeliveries are the passes feed: a file a garage and month, the late file, the corrected file, the file sent twice.
func passDeliveries(w *winter) []*delivery {
	var all []*delivery
	for z := range sheetZones {
		var open *delivery
		month := ""
		late := newPassFile(z, "passes-2029-02-lakeside-late.csv")
		fixed := newPassFile(z, "passes-"+correctedMonth+"-north_corrected.csv") // sorts after the file it corrects
		for _, p := range w.passes {
			if zones[z].id != routes[p.route].zoneID || p.isUnlogged {
				continue
			}
			if p.isLate {
				late.lines = append(late.lines, passLine(late.header, z, p, w.place))
				continue
			}
			if m := p.began.In(w.place).Format("2006-01"); m != month {
				month = m
				open = newPassFile(z, "passes-"+m+"-"+zones[z].garage+".csv")
				open.isGzip = m == "2028-11" && z == 2
				if open.isGzip {
					open.name += ".gz"
				}
				all = append(all, open)
			}
			if p.isCorrected {
				told := p
				told.dispensedLb = p.firstTold
				open.lines = append(open.lines, passLine(open.header, z, told, w.place))
				fixed.lines = append(fixed.lines, correctionOf(passLine(open.header, z, p, w.place)))
				continue
			}
			open.lines = append(open.lines, passLine(open.header, z, p, w.place))
		}
		if len(fixed.lines) > 0 {
			fixed.lines = append(fixed.lines, again(fixed.lines[0]))
			all = append(all, fixed)
		}
		if len(late.lines) > 0 {
			all = append(all, late)
		}
	}
	return all
}

func newPassFile(z int, name string) *delivery {
	header := passHeaders[z]
	if strings.Contains(name, strangeMonth) && !zones[z].hasPassID {
		header = append(slices.Clone(header), strangeColumn)
	}
	return &delivery{feed: "passes", name: name, header: header, hasBOM: z == 1, hasCRLF: z == 1}
}

func correctionOf(l line) line {
	l.fate, l.isPlain = fateCorrection, false
	return l
}

// again is a line told once more with the same values.
func again(l line) line {
	l.fate, l.isPlain = fateDuplicate, false
	return l
}

// passLine writes a pass in its garage's layout.
func passLine(header []string, z int, p pass, place *time.Location) line {
	cells := make([]string, len(header))
	for i, column := range header {
		cells[i] = passCell(z, p, column, place)
	}
	isPlain := !p.isLate && !p.isLent && !p.isCorrected && !p.isClockNight && !p.isSpot && p.materialID == "salt" && p.storm >= 0 && p.dispensedLb > 0
	return line{cells: cells, fate: fateOf(p), isPlain: isPlain, kind: kindOf(p), column: columnOf(p)}
}

func fateOf(p pass) string {
	if p.isLent {
		return fateQuarantined
	}
	return fateAccepted
}

func kindOf(p pass) string {
	if p.isLent {
		return lentKind
	}
	return ""
}

func columnOf(p pass) string {
	if p.isLent {
		return "truck_id"
	}
	return ""
}

func passCell(z int, p pass, column string, place *time.Location) string {
	switch column {
	case "pass_id":
		return p.id
	case "truck_id":
		return p.truckID
	case "crew_id":
		return p.crewID
	case "route_id":
		return routes[p.route].id
	case "began_at":
		return passTime(z, p.began, place)
	case "ended_at":
		return passTime(z, p.ended, place)
	case "from_mi":
		return text(p.fromMi)
	case "to_mi":
		return text(p.toMi)
	case "lanes":
		return textOrEmpty(p.lanes)
	case "lane_miles":
		return textOrEmpty(p.laneMilesGiven)
	case "material_id":
		return p.materialID
	case "plow_down":
		if p.plowDown {
			return zones[z].trueWord
		}
		return zones[z].falseWord
	case "purpose":
		return p.purpose
	case "note":
		return p.note
	}
	return passAmount(p, column)
}

func passAmount(p pass, column string) string {
	switch column {
	case "rate_set_lb_per_lane_mi":
		return textOrEmpty(p.rateSetLb)
	case "dispensed_lb":
		return textOrEmpty(p.dispensedLb)
	case "dispensed_gal":
		return textOrEmpty(p.dispensedGal)
	case "prewet_gal":
		return textOrEmpty(p.prewetGal)
	case "prewet_material_id":
		if p.prewetGal > 0 {
			return "brine"
		}
	case "gate_in":
		if p.isTreating && p.dispensedGal == 0 {
			return text(gateIn(p.materialID, p.rateSetLb))
		}
	case "spinner_setting":
		if p.isTreating && p.dispensedGal == 0 {
			return "3"
		}
	case "speed_mph":
		return text(p.speedMph)
	case strangeColumn:
		return text(round(20000+float64(p.began.Unix()-1800000000)/3000, 1))
	}
	return ""
}

// gateIn is the gate opening that goes with a rate: a lighter material needs a wider gate.
func gateIn(materialID string, rateLb float64) float64 {
	return round(clamp(rateLb/bulkDensity(materialID)/1.6, 0.5, 6)*4, 0) / 4
}

// passTime: north with an offset, plain local without one, lakeside in UTC.
func passTime(z int, at time.Time, place *time.Location) string {
	switch {
	case zones[z].hasLocalTimes:
		return at.In(place).Format("2006-01-02 15:04")
	case zones[z].hasPassID:
		return at.In(place).Format("2006-01-02T15:04:05-07:00")
	}
	return at.UTC().Format("2006-01-02T15:04:05Z")
}
