package calibration

import "slices"

// The arithmetic of calibration. Source: Minnesota field handbook for snowplow operators, calibration chart.

// LbPerMin is what a feed delivers: pounds per shaft revolution x revolutions per minute.
func LbPerMin(lbPerRev, revPerMin float64) float64 { return lbPerRev * revPerMin }

// MinPerMile is how long a mile takes at speedMph: 60 / mph. Speed must be above 0.
func MinPerMile(speedMph float64) float64 { return 60 / speedMph }

// LbPerMile is what lies on a mile of road: pounds per minute x minutes per mile.
func LbPerMile(lbPerMin, speedMph float64) float64 { return lbPerMin * MinPerMile(speedMph) }

// LbPerLaneMi is what lies on a mile of one lane, where the spinner covers so many lanes: pounds per mile / lanes.
func LbPerLaneMi(lbPerMile, lanes float64) float64 { return lbPerMile / lanes }

// LbPerMinFor is what the feed must deliver for a rate: the formulas above, turned round.
func LbPerMinFor(rateLbPerLaneMi, lanes, speedMph float64) float64 {
	return rateLbPerLaneMi * lanes / MinPerMile(speedMph)
}

// ByDensity is a delivery of another material through the same gate: a spreader meters volume, so pounds go as the bulk densities,
// both in pounds per cubic foot. It is an estimate: grain and moisture change the flow too.
func ByDensity(lb, testedLbPerFt3, otherLbPerFt3 float64) float64 {
	return lb * otherLbPerFt3 / testedLbPerFt3
}

// mean gives the arithmetic mean; NaN for none.
func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// spread gives (largest - smallest) / mean; 0 for one value.
func spread(values []float64) float64 {
	low, high := slices.Min(values), slices.Max(values)
	if high == low {
		return 0
	}
	return (high - low) / mean(values)
}
