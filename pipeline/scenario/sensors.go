package scenario

import "lanetally/pipeline/scenario/land"

// The planted sensor faults lie in quiet weather, so that they move no storm.
const (
	stuckReports  = 54 // 18 h at one value
	outageReports = 27 // 9 h without a report
	blindReports  = 72 // a day without pavement temperature
	jumpF         = 27.0
)

// breakSensors plants a stuck sensor, three jumps, an outage and a blind day in a season's reports.
func breakSensors(seed uint64, season int, stations [][]land.Report) []SensorTruth {
	d := land.NewDraw(seed, "sensors"+land.SeasonNames[season])
	var all []SensorTruth
	// plant finds n quiet reports, breaks some in the middle of them, and tells those.
	plant := func(kind string, z, n, margin int, damage func(run []land.Report)) {
		if at := quietRun(d, stations[z], n); at >= 0 {
			run := stations[z][at+margin : at+n-margin]
			damage(run)
			all = append(all, sensorTruth(kind, run[0], run[len(run)-1]))
			if kind == "outage" {
				stations[z] = append(stations[z][:at:at], stations[z][at+n:]...)
			}
		}
	}
	plant("stuck", 2, stuckReports, 0, func(run []land.Report) {
		for i := range run {
			run[i].SurfaceF, run[i].IsFaulty = run[0].SurfaceF, true
		}
	})
	for range 3 {
		plant("jump", 0, 5, 2, func(run []land.Report) { run[0].SurfaceF, run[0].IsFaulty = land.Round(run[0].SurfaceF+jumpF, 1), true })
	}
	plant("no surface", 1, blindReports, 0, func(run []land.Report) {
		for i := range run {
			run[i].HasSurface = false
		}
	})
	plant("outage", 1, outageReports, 0, func([]land.Report) {})
	return all
}

func sensorTruth(kind string, from, to land.Report) SensorTruth {
	return SensorTruth{StationID: land.Zones[from.Zone].StationID, Kind: kind, FromAt: dateTime(from.At), ToAt: dateTime(to.At)}
}

// quietRun finds n reports in a row without weather or an earlier fault, beginning at a random place; -1: none.
func quietRun(d land.Draw, reports []land.Report, n int) int {
	from := d.IntN(len(reports))
	run := 0
	for k := range reports {
		i := (from + k) % len(reports)
		r := reports[i]
		if i == 0 || r.Wx != "" || r.PrecipIn > 0 || r.IsTrace || r.IsFaulty || !r.HasSurface {
			run = 0
			continue
		}
		if run++; run == n {
			return i - n + 1
		}
	}
	return -1
}
