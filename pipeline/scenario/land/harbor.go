package land

import "math"

// The harbor is the zone whose trucks have receivers: pass sheets in the first season, positions every ten seconds from the second on. It
// has roads that are hard to tell apart: a quay road beside the main road, and a viaduct over it that no ramp joins to it. Its one mast
// stands beside that of the plain and sees the same weather, with less wind. All its passes put down salt, by the law of the others.

// The harbor's roads are drawn on a plane: metres east and north of the mast.
const (
	harborLat, harborLon = 46.61, -37.2
	MetresAMile          = 1609.344
	QuayOffsetM          = 40.0 // the quay road lies so far beside the main road
	QuayFromMi           = 1.0
	quayToMi             = 3.5
	ViaductAtMi          = 4.6 // of the main road: where the viaduct crosses it
)

// HarborRoads are the lines of HarborRoutes, in their order.
var HarborRoads = drawHarbor()

// drawHarbor draws the main road in bends of a tenth of a mile, the quay road beside it from one of its places to another, and the viaduct
// road across it.
func drawHarbor() [3]road {
	main := []Place{{0, 0}}
	for i := range 60 {
		heading := 0.22 * math.Sin(float64(i)/7)
		last := main[i]
		main = append(main, Place{last.X + 0.1*MetresAMile*math.Cos(heading), last.Y + 0.1*MetresAMile*math.Sin(heading)})
	}
	from, to := int(QuayFromMi*10), int(quayToMi*10)
	quay := []Place{main[from]}
	for i := from + 1; i < to; i++ {
		dx, dy := main[i+1].X-main[i-1].X, main[i+1].Y-main[i-1].Y
		size := math.Hypot(dx, dy)
		quay = append(quay, Place{main[i].X + QuayOffsetM*dy/size, main[i].Y - QuayOffsetM*dx/size})
	}
	quay = append(quay, main[to])
	over := newRoad(main).At(ViaductAtMi)
	side := func(mi float64) Place { return Place{over.X + 0.12*mi*MetresAMile, over.Y + mi*MetresAMile} }
	return [3]road{newRoad(main), newRoad(quay), newRoad([]Place{side(-2), side(-1.2), side(0), side(1.1),
		{over.X + 0.3*MetresAMile, over.Y + 2.45*MetresAMile}})}
}

// Mirror gives the harbor mast's reports: every third of the plain's, with the water since the one before and two thirds of the wind. Its
// gauge tells water only while some falls, so that the report after a storm is none of the storm.
func Mirror(plain []Report) []Report {
	var reports []Report
	water, isTrace := 0.0, false
	for i, r := range plain {
		water, isTrace = water+r.PrecipIn, isTrace || r.IsTrace
		if i%harborEvery != harborEvery-1 {
			continue
		}
		if r.PrecipIn > 0 || r.IsTrace {
			r.PrecipIn, r.IsTrace = Round(water, 2), isTrace && water == 0
		}
		r.Zone = ZoneIndex("harbor")
		r.WindMph, r.GustMph = Round(r.WindMph*2/3, 0), Round(r.GustMph*2/3, 0)
		reports = append(reports, r)
		water, isTrace = 0, false
	}
	return reports
}

// harborEvery: the harbor's mast reports once an hour, the others three times.
const harborEvery = 3
