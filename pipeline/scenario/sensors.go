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
	shore := stations[2]
	if at := quietRun(d, shore, stuckReports); at >= 0 {
		value := shore[at].surfaceF
		for i := at; i < at+stuckReports; i++ {
			shore[i].surfaceF, shore[i].isFaulty = value, true
		}
		all = append(all, sensorTruth("stuck", shore[at], shore[at+stuckReports-1]))
	}
	for range 3 {
		ridge := stations[0]
		if at := quietRun(d, ridge, 5); at >= 0 {
			ridge[at+2].surfaceF, ridge[at+2].isFaulty = round(ridge[at+2].surfaceF+jumpF, 1), true
			all = append(all, sensorTruth("jump", ridge[at+2], ridge[at+2]))
		}
	}
	if at := quietRun(d, stations[1], blindReports); at >= 0 {
		for i := at; i < at+blindReports; i++ {
			stations[1][i].hasSurface = false
		}
		all = append(all, sensorTruth("no surface", stations[1][at], stations[1][at+blindReports-1]))
	}
	if at := quietRun(d, stations[1], outageReports); at >= 0 {
		all = append(all, sensorTruth("outage", stations[1][at], stations[1][at+outageReports-1]))
		stations[1] = append(stations[1][:at:at], stations[1][at+outageReports:]...)
	}
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
