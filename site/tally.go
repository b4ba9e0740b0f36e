package site

import "time"

// The classes of a district that names none of its own, and the signs of its two sides and its first other class; and the forms.
const (
	acetate  = "acetate"
	chloride = "chloride"
	abrasive = "abrasive"
	solid    = "solid"
	liquid   = "liquid"
)

// fewestForThirds is the least number of storms that have a first and a latest third.
const fewestForThirds = 3

// Tally is a row of tallies: what the solids of one part of the route-storms came to, in exact sums.
// The zero Tally is that of a part without any.
type Tally struct {
	Part             string    `db:"part"`
	Season           string    `db:"season"`
	StormID          string    `db:"storm_id"`
	ZoneID           string    `db:"zone_id"`
	Watershed        string    `db:"watershed"`
	RouteID          string    `db:"route_id"`
	CrewID           string    `db:"crew_id"`
	MaterialClass    string    `db:"material_class"`
	BeganAt          time.Time `db:"began_at"`
	IsOpen           bool      `db:"is_open"`
	Storms           int64     `db:"storms"`
	RouteStorms      int64     `db:"route_storms"`
	AppliedLb        *float64  `db:"applied_lb"`
	RateLbPerLaneMi  *float64  `db:"rate_lb_per_lane_mi"`
	StormLbPerLaneMi *float64  `db:"storm_lb_per_lane_mi"`
	Applications     *float64  `db:"applications"`
	RegainH          *float64  `db:"regain_h"`
	Bare             int64     `db:"bare"` // route-storms reported bare within the window
	NotBare          int64     `db:"not_bare"`
	RegainOpen       int64     `db:"regain_open"` // whose window is not over
	AirFMean         *float64  `db:"air_f_mean"`
	SurfaceFMin      *float64  `db:"surface_f_min"`
	Weighed          int64     `db:"weighed"` // route-storms that weighed loads cover
	WeighedRate      *float64  `db:"weighed_rate_lb_per_lane_mi"`
	ReportedRate     *float64  `db:"reported_rate_lb_per_lane_mi"` // what spreaders reported of the same route-storms
}

// Parts of tallies, by what they hold and what they part by; where no class is named, by material class too.
const (
	partStorm           = "storm"
	partStormZone       = "storm and zone"
	partStormWatershed  = "storm and watershed" // all classes
	partSeason          = "season"              // closed storms, as all that follow but the watersheds'
	partSeasonToDate    = "season to date"
	partFirstThird      = "first third"
	partLatestThird     = "latest third"
	partSeasonWatershed = "season and watershed" // all classes, open storms too
	partRoute           = "route"
	partRouteToDate     = "route to date"
	partRouteRoads      = "roads of a route" // both classes
	partCrewRoads       = "roads of a crew"  // both classes, on the routes that it treated
)

// tallyKey names a row of tallies; what the part does not part by is empty.
type tallyKey struct{ part, season, stormID, zoneID, watershed, routeID, crewID, class string }

func (t Tally) key() tallyKey {
	return tallyKey{t.Part, t.Season, t.StormID, t.ZoneID, t.Watershed, t.RouteID, t.CrewID, t.MaterialClass}
}

// rate is pounds per treated lane-mile.
func (t Tally) rate() *float64 { return t.RateLbPerLaneMi }

// stormPounds is pounds per lane-mile of route, for each time a route was treated in a storm.
func (t Tally) stormPounds() *float64 { return t.StormLbPerLaneMi }

// applications is full-route equivalents for each time a route was treated in a storm.
func (t Tally) applications() *float64 { return t.Applications }

// regainH is the lane-mile-weighted mean of the hours to bare lane, over the route-storms reported bare.
func (t Tally) regainH() *float64 { return t.RegainH }

// airF is the lane-mile-weighted mean air temperature.
func (t Tally) airF() *float64 { return t.AirFMean }

// surfaceF is the lowest pavement temperature.
func (t Tally) surfaceF() *float64 { return t.SurfaceFMin }

// weighedRate is pounds by weighed loads per treated lane-mile, over the route-storms that they cover.
func (t Tally) weighedRate() *float64 { return t.WeighedRate }

// reportedRate is what spreaders reported of the same route-storms.
func (t Tally) reportedRate() *float64 { return t.ReportedRate }

// bareShare is the share reported bare of the route-storms with reports.
func (t Tally) bareShare() *float64 { return ratio(float64(t.Bare), float64(t.Bare+t.NotBare)) }

func orZero(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

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

// classTally holds one class over a season and over its first and latest third of storms; the thirds are nil below
// fewestForThirds storms.
type classTally struct {
	class         string
	season        Tally
	first, latest *Tally
}

// countClass is what the solids of one class came to over the closed storms of a season.
func (b *book) countClass(season, class string) classTally {
	c := classTally{class: class, season: b.tallies[tallyKey{part: partSeason, season: season, class: class}]}
	if first, found := b.tallies[tallyKey{part: partFirstThird, season: season, class: class}]; found {
		latest := b.tallies[tallyKey{part: partLatestThird, season: season, class: class}]
		c.first, c.latest = &first, &latest
	}
	return c
}

// stormTally is what the solids of one class came to in a storm of a season.
func (b *book) stormTally(season, stormID, class string) Tally {
	return b.tallies[tallyKey{part: partStorm, season: season, stormID: stormID, class: class}]
}

// zoneTally is stormTally on one zone's routes.
func (b *book) zoneTally(zone Storm, class string) Tally {
	return b.tallies[tallyKey{part: partStormZone, season: zone.Season, stormID: zone.StormID, zoneID: zone.ZoneID, class: class}]
}

// routeTally is what a route's solids of one class came to over the closed storms of a season.
func (b *book) routeTally(routeID, season, class string) Tally {
	return b.tallies[tallyKey{part: partRoute, season: season, routeID: routeID, class: class}]
}
