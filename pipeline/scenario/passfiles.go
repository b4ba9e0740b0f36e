package scenario

import (
	"strings"
	"time"

	"lanetally/pipeline/scenario/land"
)

// strangeMonth is the one month in which the lakeside export also holds a column that no contract knows.
const (
	strangeMonth  = "2028-11"
	strangeColumn = "odometer_mi"
)

// passDeliveries are the passes feed: a file a garage and month, the late file, the corrected file, the file sent twice.
func passDeliveries(w *winter) []*delivery {
	var all []*delivery
	for z := range land.SheetZones {
		months := monthly{place: w.place, make: func(month string) *delivery {
			f := newPassFile(z, "passes-"+month+"-"+land.Zones[z].Garage+".csv")
			if f.isGzip = month == "2028-11" && z == 2; f.isGzip {
				f.name += ".gz"
			}
			return f
		}}
		late := newPassFile(z, lateFile)
		fixed := newPassFile(z, correctedFile)
		for _, p := range w.passes {
			if land.Zones[z].ID != land.Routes[p.route].ZoneID || p.isUnlogged {
				continue
			}
			f := late
			if !p.isLate {
				f = months.open(p.began)
			}
			if p.isCorrected && !p.isLate {
				fixed.lines = append(fixed.lines, passLine(fixed.header, z, p, w.place).as(fateCorrection))
				p.dispensedLb = p.firstTold
			}
			f.lines = append(f.lines, passLine(f.header, z, p, w.place))
		}
		all = append(all, months.all...)
		if len(fixed.lines) > 0 {
			fixed.lines = append(fixed.lines, fixed.lines[0].as(fateDuplicate))
			all = append(all, fixed)
		}
		if len(late.lines) > 0 {
			all = append(all, late)
		}
	}
	return all
}

// The file of a storm's log that came two months later, and the one that corrects another, which sorts before it.
const (
	lateFile      = "passes-2029-02-lakeside-late.csv"
	correctedFile = "passes-" + correctedMonth + "-north_corrected.csv"
)

// passHeader is the layout of a garage's log.
func passHeader(z int) []string { return strings.Fields(land.Zones[z].PassColumns) }

func newPassFile(z int, name string) *delivery {
	header := passHeader(z)
	if strings.Contains(name, strangeMonth) && !land.Zones[z].HasPassID {
		header = append(header, strangeColumn)
	}
	return &delivery{feed: "passes", name: name, header: header, hasBOM: z == 1, hasCRLF: z == 1}
}

// passLine writes a pass in its garage's layout.
func passLine(header []string, z int, p pass, place *time.Location) line {
	l := line{cells: make([]string, len(header)), fate: fateAccepted}
	for i, column := range header {
		l.cells[i] = passCells[column](land.Zones[z], p, place)
	}
	if p.isLent {
		l.fate, l.kind, l.column = fateQuarantined, lentKind, "truck_id"
	}
	l.isPlain = !p.isLate && !p.isLent && !p.isCorrected && !p.isClockNight && !p.isSpot && p.materialID == "salt" && p.storm >= 0 &&
		p.dispensedLb > 0
	return l
}

// passCells gives the cell of each column of the garages' layouts.
var passCells = map[string]func(z land.Zone, p pass, place *time.Location) string{
	"pass_id":                 func(_ land.Zone, p pass, _ *time.Location) string { return p.id },
	"truck_id":                func(_ land.Zone, p pass, _ *time.Location) string { return p.truckID },
	"crew_id":                 func(_ land.Zone, p pass, _ *time.Location) string { return p.crewID },
	"route_id":                func(_ land.Zone, p pass, _ *time.Location) string { return land.Routes[p.route].ID },
	"began_at":                func(z land.Zone, p pass, place *time.Location) string { return passTime(z, p.began, place) },
	"ended_at":                func(z land.Zone, p pass, place *time.Location) string { return passTime(z, p.ended, place) },
	"from_mi":                 func(_ land.Zone, p pass, _ *time.Location) string { return text(p.fromMi) },
	"to_mi":                   func(_ land.Zone, p pass, _ *time.Location) string { return text(p.toMi) },
	"lanes":                   func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.lanes) },
	"lane_miles":              func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.laneMilesGiven) },
	"material_id":             func(_ land.Zone, p pass, _ *time.Location) string { return p.materialID },
	"rate_set_lb_per_lane_mi": func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.rateSetLb) },
	"dispensed_lb":            func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.dispensedLb) },
	"dispensed_gal":           func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.dispensedGal) },
	"prewet_gal":              func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.prewetGal) },
	"prewet_material_id":      func(_ land.Zone, p pass, _ *time.Location) string { return textIf(p.prewetGal > 0, "brine", "") },
	"plow_down":               func(z land.Zone, p pass, _ *time.Location) string { return textIf(p.plowDown, z.Yes, z.No) },
	"purpose":                 func(_ land.Zone, p pass, _ *time.Location) string { return p.purpose },
	"gate_in":                 func(_ land.Zone, p pass, _ *time.Location) string { return textOrEmpty(p.gateIn()) },
	"spinner_setting":         func(_ land.Zone, p pass, _ *time.Location) string { return textIf(p.isOfSolids(), "3", "") },
	"speed_mph":               func(_ land.Zone, p pass, _ *time.Location) string { return text(p.speedMph) },
	"note":                    func(_ land.Zone, p pass, _ *time.Location) string { return p.note },
	strangeColumn: func(_ land.Zone, p pass, _ *time.Location) string {
		return text(land.Round(20000+float64(p.began.Unix()-1800000000)/3000, 1))
	},
}

func textIf(is bool, cell, otherwise string) string {
	if is {
		return cell
	}
	return otherwise
}

func (p pass) isOfSolids() bool { return p.isTreating && p.dispensedGal == 0 }

// gateIn is the gate opening that goes with the rate: a lighter material needs a wider gate. 0 without solids.
func (p pass) gateIn() float64 {
	if !p.isOfSolids() {
		return 0
	}
	return land.Round(land.Clamp(p.rateSetLb/land.BulkDensity(p.materialID)/1.6, 0.5, 6)*4, 0) / 4
}

// passTime: north with an offset, plain local without one, lakeside in UTC.
func passTime(z land.Zone, at time.Time, place *time.Location) string {
	switch {
	case z.HasLocalTimes:
		return at.In(place).Format("2006-01-02 15:04")
	case z.HasPassID:
		return at.In(place).Format("2006-01-02T15:04:05-07:00")
	}
	return at.UTC().Format("2006-01-02T15:04:05Z")
}
