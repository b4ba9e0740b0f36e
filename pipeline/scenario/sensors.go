package scenario

// The planted sensor faults lie in quiet weather, so that they move no storm.
const (
	stuckReports  = 54 // 18 h at one value
	outageReports = 27 // 9 h without a report
	blindReports  = 72 // a day without pavement temperature
	jumpF         = 27.0
)

// breakSensors plants a stuck sensor, three jumps, an outage and a blind day in a season's reports.
func breakSensors(seed uint64, season int, stations [][]report) []SensorTruth {
	d := newDraw(seed, "sensors"+seasonNames[season])
	var all []SensorTruth
	// plant finds n quiet reports, breaks some in the middle of them, and tells those.
	plant := func(kind string, z, n, margin int, damage func(run []report)) {
		if at := quietRun(d, stations[z], n); at >= 0 {
			run := stations[z][at+margin : at+n-margin]
			damage(run)
			all = append(all, sensorTruth(kind, run[0], run[len(run)-1]))
			if kind == "outage" {
				stations[z] = append(stations[z][:at:at], stations[z][at+n:]...)
			}
		}
	}
	plant("stuck", 2, stuckReports, 0, func(run []report) {
		for i := range run {
			run[i].surfaceF, run[i].isFaulty = run[0].surfaceF, true
		}
	})
	for range 3 {
		plant("jump", 0, 5, 2, func(run []report) { run[0].surfaceF, run[0].isFaulty = round(run[0].surfaceF+jumpF, 1), true })
	}
	plant("no surface", 1, blindReports, 0, func(run []report) {
		for i := range run {
			run[i].hasSurface = false
		}
	})
	plant("outage", 1, outageReports, 0, func([]report) {})
	return all
}

func sensorTruth(kind string, from, to report) SensorTruth {
	s := SensorTruth{StationID: zones[from.zone].stationID, Kind: kind, FromAt: dateTime(from.at), ToAt: dateTime(to.at)}
	if kind == "stuck" || kind == "jump" {
		s.SurfaceF = from.surfaceF
	}
	return s
}

// quietRun finds n reports in a row without weather or an earlier fault, beginning at a random place; -1: none.
func quietRun(d draw, reports []report, n int) int {
	from := d.IntN(len(reports))
	run := 0
	for k := range reports {
		i := (from + k) % len(reports)
		r := reports[i]
		if i == 0 || r.wx != "" || r.precipIn > 0 || r.isTrace || r.isFaulty || !r.hasSurface {
			run = 0
			continue
		}
		if run++; run == n {
			return i - n + 1
		}
	}
	return -1
}
