package matching

import "math"

// The WGS 84 ellipsoid (NIMA TR8350.2): semi-major axis, metres, and flattening.
const (
	semiMajorM  = 6378137.0
	flattening  = 1 / 298.257223563
	eccentric2  = flattening * (2 - flattening)
	metresAMile = 1609.344
)

// metresPerDegree are the lengths of a degree of longitude and of latitude at a latitude: N cos(lat) and M, the radii of curvature of
// the prime vertical and of the meridian.
func metresPerDegree(latDeg float64) (eastM, northM float64) {
	sin, cos := math.Sincos(latDeg * math.Pi / 180)
	w2 := 1 - eccentric2*sin*sin
	w := math.Sqrt(w2)
	primeVertical := semiMajorM / w
	meridian := semiMajorM * (1 - eccentric2) / (w2 * w)
	return primeVertical * cos * math.Pi / 180, meridian * math.Pi / 180
}

// bandScale gives metresPerDegree in bands of a hundredth of a degree of latitude: within a band the scale is off by less than 1 part
// in 5,000 up to 60 degrees. It is a function of the latitude alone, so that it does not matter what was asked before.
type bandScale struct {
	band          int
	known         bool
	eastM, northM float64
}

func (b *bandScale) at(latDeg float64) (eastM, northM float64) {
	band := int(math.Floor(latDeg * 100))
	if !b.known || band != b.band {
		b.band, b.known = band, true
		b.eastM, b.northM = metresPerDegree((float64(band) + 0.5) / 100)
	}
	return b.eastM, b.northM
}

func (b *bandScale) distM(lon1, lat1, lon2, lat2 float64) (eastM, northM, distM float64) {
	kx, ky := b.at(lat1)
	eastM, northM = (lon2-lon1)*kx, (lat2-lat1)*ky
	return eastM, northM, math.Sqrt(eastM*eastM + northM*northM)
}

// StraightM is the straight distance of two near places in metres, on the ellipsoid at their middle latitude.
func StraightM(lon1, lat1, lon2, lat2 float64) float64 {
	kx, ky := metresPerDegree((lat1 + lat2) / 2)
	return math.Hypot((lon2-lon1)*kx, (lat2-lat1)*ky)
}
