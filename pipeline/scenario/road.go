package scenario

import "math"

// place is a point of the harbor's plane, metres east and north of its mast.
type place struct{ x, y float64 }

// road is a line of the plane with the miles of its corners, from 0.
type road struct {
	corners []place
	miles   []float64
}

// newRoad measures a line; its corners are the ones that the file of route lines shows, rounded to a millionth of a degree.
func newRoad(corners []place) road {
	r := road{miles: []float64{0}}
	for i, c := range corners {
		lon, lat := c.degrees()
		c = placeOf(lon, lat)
		r.corners = append(r.corners, c)
		if i > 0 {
			r.miles = append(r.miles, r.miles[i-1]+c.away(r.corners[i-1])/metresAMile)
		}
	}
	return r
}

func (p place) away(q place) float64 { return math.Hypot(p.x-q.x, p.y-q.y) }

// toward is the place a share of the way to q.
func (p place) toward(q place, share float64) place {
	return place{p.x + share*(q.x-p.x), p.y + share*(q.y-p.y)}
}

func (r road) milesRounded() float64 { return round(r.miles[len(r.miles)-1], 2) }

// at is the place at a route mile; the miles of the route are the line's, drawn out to milesRounded.
func (r road) at(mi float64) place {
	whole := r.miles[len(r.miles)-1]
	mi *= whole / r.milesRounded()
	for i := 1; i < len(r.miles); i++ {
		if mi <= r.miles[i] || i+1 == len(r.miles) {
			return r.corners[i-1].toward(r.corners[i], clamp((mi-r.miles[i-1])/(r.miles[i]-r.miles[i-1]), 0, 1))
		}
	}
	return r.corners[0]
}

// metresPerDegree at the harbor's latitude: the series of the lengths of a degree on the WGS 84 ellipsoid (from memory; held against the
// matcher's own by the tests of the demo's drives).
func metresPerDegree() (east, north float64) {
	phi := harborLat * math.Pi / 180
	return 111412.84*math.Cos(phi) - 93.5*math.Cos(3*phi) + 0.118*math.Cos(5*phi),
		111132.954 - 559.822*math.Cos(2*phi) + 1.175*math.Cos(4*phi)
}

// degrees is the place as longitude and latitude, to a millionth.
func (p place) degrees() (lon, lat float64) {
	east, north := metresPerDegree()
	return round(harborLon+p.x/east, 6), round(harborLat+p.y/north, 6)
}

func placeOf(lon, lat float64) place {
	east, north := metresPerDegree()
	return place{(lon - harborLon) * east, (lat - harborLat) * north}
}
