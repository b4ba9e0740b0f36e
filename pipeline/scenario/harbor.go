package scenario

import (
	"math"
	"slices"
)

// The harbor is the zone whose trucks have receivers: pass sheets in the first season, positions every ten seconds from the second on. It
// has roads that are hard to tell apart: a quay road beside the main road, and a viaduct over it that no ramp joins to it. Its one mast
// stands beside that of the plain and sees the same weather, with less wind. All its passes put down salt, by the law of the others.
var harborZone = zone{id: "harbor", name: "Zaddow Harbor", garage: "harbor", stationID: "XZHA", station: "Harbor mast", lat: harborLat,
	lon: harborLon, elevationFt: 380,
	dayCrew: "crew-7", nightCrew: "crew-7", stockpile: "harbor-shed", hasPassID: true, words: map[bool]string{true: "true", false: "false"}}

var (
	harborCrews  = []crew{{id: "crew-7", label: "Harbor yard", members: 6}}
	harborTrucks = []truck{
		{id: "H1", zoneID: "harbor", capacityFt3: 300, spread: 1.012},
		{id: "H2", zoneID: "harbor", capacityFt3: 260, spread: 0.989},
	}
	harborPiles  = []pile{{"harbor-shed", "salt", 1200000, 500000, 1200000}}
	harborRoutes = []route{
		{id: "H-01", name: "Harbor road", zoneID: "harbor", toMi: harborRoads[0].milesRounded(), lanes: 2, trafficAADT: 7100,
			acetateSeason: -1, trucks: [2]string{"H1", "H1"}},
		{id: "H-02", name: "Quay road", zoneID: "harbor", toMi: harborRoads[1].milesRounded(), lanes: 2, trafficAADT: 1800,
			acetateSeason: -1, trucks: [2]string{"H1", "H1"}},
		{id: "H-03", name: "Viaduct road", zoneID: "harbor", toMi: harborRoads[2].milesRounded(), lanes: 2, bridgeLaneMiles: 0.6,
			trafficAADT: 4400, acetateSeason: -1, trucks: [2]string{"H2", "H2"}},
	}
)

// What the reference tables hold: the zones with sheets first, so that the harbor changes nothing of theirs.
var (
	zones  = append(slices.Clone(sheetZones), harborZone)
	crews  = append(slices.Clone(sheetCrews), harborCrews...)
	trucks = append(slices.Clone(sheetTrucks), harborTrucks...)
	routes = append(slices.Clone(sheetRoutes), harborRoutes...)
)

// The harbor's roads are drawn on a plane: metres east and north of the mast.
const (
	harborLat, harborLon = 46.61, -37.2
	metresAMile          = 1609.344
	quayOffsetM          = 40.0 // the quay road lies so far beside the main road
	quayFromMi           = 1.0
	quayToMi             = 3.5
	viaductAtMi          = 4.6 // of the main road: where the viaduct crosses it
)

// harborRoads are the lines of harborRoutes, in their order.
var harborRoads = drawHarbor()

// drawHarbor draws the main road in bends of a tenth of a mile, the quay road beside it from one of its places to another, and the viaduct
// road across it.
func drawHarbor() [3]road {
	main := []place{{0, 0}}
	for i := range 60 {
		heading := 0.22 * math.Sin(float64(i)/7)
		last := main[i]
		main = append(main, place{last.x + 0.1*metresAMile*math.Cos(heading), last.y + 0.1*metresAMile*math.Sin(heading)})
	}
	from, to := int(quayFromMi*10), int(quayToMi*10)
	quay := []place{main[from]}
	for i := from + 1; i < to; i++ {
		dx, dy := main[i+1].x-main[i-1].x, main[i+1].y-main[i-1].y
		size := math.Hypot(dx, dy)
		quay = append(quay, place{main[i].x + quayOffsetM*dy/size, main[i].y - quayOffsetM*dx/size})
	}
	quay = append(quay, main[to])
	over := newRoad(main).at(viaductAtMi)
	side := func(mi float64) place { return place{over.x + 0.12*mi*metresAMile, over.y + mi*metresAMile} }
	return [3]road{newRoad(main), newRoad(quay), newRoad([]place{side(-2), side(-1.2), side(0), side(1.1),
		{over.x + 0.3*metresAMile, over.y + 2.45*metresAMile}})}
}

// mirror gives the harbor mast's reports: every third of the plain's, with the water since the one before and two thirds of the wind. Its
// gauge tells water only while some falls, so that the report after a storm is none of the storm.
func mirror(plain []report) []report {
	var reports []report
	water, isTrace := 0.0, false
	for i, r := range plain {
		water, isTrace = water+r.precipIn, isTrace || r.isTrace
		if i%harborEvery != harborEvery-1 {
			continue
		}
		if r.precipIn > 0 || r.isTrace {
			r.precipIn, r.isTrace = round(water, 2), isTrace && water == 0
		}
		r.zone = zoneIndex("harbor")
		r.windMph, r.gustMph = round(r.windMph*2/3, 0), round(r.gustMph*2/3, 0)
		reports = append(reports, r)
		water, isTrace = 0, false
	}
	return reports
}

// harborEvery: the harbor's mast reports once an hour, the others three times.
const harborEvery = 3
