package site

import "lanetally/pipeline/rows"

// The material classes that the pages set side by side.
const (
	acetate  = "acetate"
	chloride = "chloride"
	abrasive = "abrasive"
	solid    = "solid"
	liquid   = "liquid"
)

// fewestForThirds is the least number of storms that have a first and a latest third.
const fewestForThirds = 3

// tally sums route-storms: ratios of sums, never means of ratios (definitions, "Per storm, route, material class and form").
type tally struct {
	storms      []string // ids, in the order met
	routeStorms int
	bare        int // route-storms reported bare within the window
	notBare     int
	bareOpen    int // whose window is not over

	appliedLb, placedLb, measuredLaneMiles, treatedLaneMiles float64
	routeLaneMiles, poundsLaneMiles                          float64 // of all rows, and of those with pounds
	regainLaneMiles, regainLaneMileHours                     float64
	airLaneMiles, airLaneMileDegrees                         float64
	surfaceFMin                                              *float64

	corrected                             int // rows with corrected pounds
	correctedPlacedLb, correctedLaneMiles float64
	correctedReportedLb                   float64 // what the spreaders reported for the same rows
}

func orZero(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

// add counts one row of storm_routes with its storm's row.
func (t *tally) add(row StormRoute, storm Storm) {
	if n := len(t.storms); n == 0 || t.storms[n-1] != row.StormID {
		t.storms = append(t.storms, row.StormID)
	}
	t.routeStorms++
	miles := orZero(row.RouteLaneMiles)
	t.routeLaneMiles += miles
	t.treatedLaneMiles += orZero(row.TreatedLaneMiles)
	if row.AppliedLb != nil {
		t.appliedLb += *row.AppliedLb
		t.poundsLaneMiles += miles
		t.placedLb += *row.AppliedLb - orZero(row.UnplacedLb)
		t.measuredLaneMiles += orZero(row.MeasuredLaneMiles)
	}
	t.addCorrected(row)
	switch row.RegainState {
	case rows.RoadBare:
		t.bare++
		if row.RegainH != nil {
			t.regainLaneMiles += miles
			t.regainLaneMileHours += miles * *row.RegainH
		}
	case rows.RoadNotBare:
		t.notBare++
	case rows.RoadOpen:
		t.bareOpen++
	}
	if storm.AirFMean != nil {
		t.airLaneMiles += miles
		t.airLaneMileDegrees += miles * *storm.AirFMean
	}
	t.surfaceFMin = lower(t.surfaceFMin, storm.SurfaceFMin)
}

// addRoads counts the road states of another tally too, and nothing else of it.
func (t *tally) addRoads(other tally) {
	t.bare += other.bare
	t.notBare += other.notBare
	t.bareOpen += other.bareOpen
	t.regainLaneMiles += other.regainLaneMiles
	t.regainLaneMileHours += other.regainLaneMileHours
}

// addCorrected counts a row's pounds by weighed loads, beside its reported ones.
func (t *tally) addCorrected(row StormRoute) {
	if row.Corrected == nil || row.Corrected.CorrectedRate == nil || row.AppliedLb == nil {
		return
	}
	miles := orZero(row.MeasuredLaneMiles)
	t.corrected++
	t.correctedPlacedLb += *row.Corrected.CorrectedRate * miles
	t.correctedLaneMiles += miles
	t.correctedReportedLb += *row.AppliedLb - orZero(row.UnplacedLb)
}

// correctedRate is pounds by weighed loads per treated lane-mile, over the rows that have them.
func (t *tally) correctedRate() *float64 { return ratio(t.correctedPlacedLb, t.correctedLaneMiles) }

// reportedRate is the reported rate of the same rows.
func (t *tally) reportedRate() *float64 { return ratio(t.correctedReportedLb, t.correctedLaneMiles) }

// lower is the smaller of two values, of which either may be missing.
func lower(a, b *float64) *float64 {
	if a == nil || (b != nil && *b < *a) {
		return b
	}
	return a
}

func ratio(sum, parts float64) *float64 {
	if parts == 0 {
		return nil
	}
	quotient := sum / parts
	return &quotient
}

// rate is pounds per treated lane-mile.
func (t *tally) rate() *float64 { return ratio(t.placedLb, t.measuredLaneMiles) }

// stormPounds is pounds per lane-mile of route, for each time a route was treated in a storm.
func (t *tally) stormPounds() *float64 { return ratio(t.appliedLb, t.poundsLaneMiles) }

// applications is full-route equivalents for each time a route was treated in a storm.
func (t *tally) applications() *float64 { return ratio(t.treatedLaneMiles, t.routeLaneMiles) }

// regainH is the lane-mile-weighted mean of the hours to bare lane, over the route-storms reported bare.
func (t *tally) regainH() *float64 { return ratio(t.regainLaneMileHours, t.regainLaneMiles) }

// airF is the lane-mile-weighted mean air temperature.
func (t *tally) airF() *float64 { return ratio(t.airLaneMileDegrees, t.airLaneMiles) }

// bareShare is the share reported bare of the route-storms with reports.
func (t *tally) bareShare() *float64 { return ratio(float64(t.bare), float64(t.bare+t.notBare)) }

// classTally holds one class over a season and over its first and latest third of storms; the thirds are nil below
// fewestForThirds storms.
type classTally struct {
	class         string
	season        tally
	first, latest *tally
}

// countClass sums the solids of one class over the closed storms of a season.
func (b *book) countClass(season, class string) classTally {
	c := classTally{class: class}
	perStorm := map[string]*tally{}
	for _, e := range b.eventsOf(season) {
		for _, row := range b.rowsByStorm[e.ID] {
			storm, found := b.zoneRow(row.StormID, row.ZoneID)
			if !found || e.IsOpen || row.MaterialClass != class || row.Form != solid {
				continue
			}
			c.season.add(row, storm)
			if row.RateLbPerLaneMi != nil {
				perStorm[e.ID] = &tally{}
			}
		}
	}
	var rated []string
	for _, id := range c.season.storms {
		if perStorm[id] != nil {
			rated = append(rated, id)
		}
	}
	if len(rated) < fewestForThirds {
		return c
	}
	third := len(rated) / 3
	c.first = b.countStorms(rated[:third], class)
	c.latest = b.countStorms(rated[len(rated)-third:], class)
	return c
}

// countStorms sums the solids of one class over the storms named.
func (b *book) countStorms(ids []string, class string) *tally {
	return b.countSolids(ids, func(row StormRoute) bool { return row.MaterialClass == class })
}

// countSolids sums the rows of solids that belong, over the storms named.
func (b *book) countSolids(ids []string, belongs func(StormRoute) bool) *tally {
	t := &tally{}
	for _, id := range ids {
		for _, row := range b.rowsByStorm[id] {
			if storm, found := b.zoneRow(row.StormID, row.ZoneID); found && row.Form == solid && belongs(row) {
				t.add(row, storm)
			}
		}
	}
	return t
}
