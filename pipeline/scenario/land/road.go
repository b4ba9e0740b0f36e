package land

import "math"

// Place is a point of the harbor's plane, metres east and north of its mast.
type Place struct{ X, Y float64 }

// road is a line of the plane with the miles of its corners, from 0.
type road struct {
	Corners []Place
	Miles   []float64
}

// newRoad measures a line; its corners are the ones that the file of route lines shows, rounded to a millionth of a degree.
func newRoad(corners []Place) road {
	r := road{Miles: []float64{0}}
	for i, c := range corners {
		lon, lat := c.Degrees()
		c = placeOf(lon, lat)
		r.Corners = append(r.Corners, c)
		if i > 0 {
			r.Miles = append(r.Miles, r.Miles[i-1]+c.Away(r.Corners[i-1])/MetresAMile)
		}
	}
	return r
}

// Away is the distance from p to q in metres.
func (p Place) Away(q Place) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Toward is the place a share of the way to q.
func (p Place) Toward(q Place, share float64) Place {
	return Place{p.X + share*(q.X-p.X), p.Y + share*(q.Y-p.Y)}
}

// MilesRounded is the length of the line to a hundredth of a mile.
func (r road) MilesRounded() float64 { return Round(r.Miles[len(r.Miles)-1], 2) }

// At is the place at a route mile; the miles of the route are the line's, drawn out to MilesRounded.
func (r road) At(mi float64) Place {
	whole := r.Miles[len(r.Miles)-1]
	mi *= whole / r.MilesRounded()
	for i := 1; i < len(r.Miles); i++ {
		if mi <= r.Miles[i] || i+1 == len(r.Miles) {
			return r.Corners[i-1].Toward(r.Corners[i], Clamp((mi-r.Miles[i-1])/(r.Miles[i]-r.Miles[i-1]), 0, 1))
		}
	}
	return r.Corners[0]
}

// metresPerDegree at the harbor's latitude: the series of the lengths of a degree on the WGS 84 ellipsoid (from memory; held against the
// matcher's own by the tests of the demo's drives).
func metresPerDegree() (east, north float64) {
	phi := harborLat * math.Pi / 180
	return 111412.84*math.Cos(phi) - 93.5*math.Cos(3*phi) + 0.118*math.Cos(5*phi),
		111132.954 - 559.822*math.Cos(2*phi) + 1.175*math.Cos(4*phi)
}

// Degrees is the place as longitude and latitude, to a millionth.
func (p Place) Degrees() (lon, lat float64) {
	east, north := metresPerDegree()
	return Round(harborLon+p.X/east, 6), Round(harborLat+p.Y/north, 6)
}

func placeOf(lon, lat float64) Place {
	east, north := metresPerDegree()
	return Place{(lon - harborLon) * east, (lat - harborLat) * north}
}
