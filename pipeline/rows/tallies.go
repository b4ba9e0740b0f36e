package rows

import "time"

// The classes of a district that names none of its own, and the signs of its two sides and its first other class; and the forms.
const (
	Acetate  = "acetate"
	Chloride = "chloride"
	Abrasive = "abrasive"
	Solid    = "solid"
	Liquid   = "liquid"
)

// FewestForThirds is the least number of storms that have a first and a latest third.
const FewestForThirds = 3

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
	RegainH          *float64  `db:"regain_h"` // capped: of all route-storms with reports
	Bare             int64     `db:"bare"`     // route-storms reported bare within the cap
	NotBare          int64     `db:"not_bare"`
	RegainOpen       int64     `db:"regain_open"` // whose window is not over
	AirFMean         *float64  `db:"air_f_mean"`
	SurfaceFMin      *float64  `db:"surface_f_min"`
	Weighed          int64     `db:"weighed"` // route-storms that weighed loads cover
	WeighedRate      *float64  `db:"weighed_rate_lb_per_lane_mi"`
	ReportedRate     *float64  `db:"reported_rate_lb_per_lane_mi"` // what spreaders reported of the same route-storms
	Withheld
}

// Parts of tallies, by what they hold and what they part by; where no class is named, by material class too.
const (
	PartStorm           = "storm"
	PartStormZone       = "storm and zone"
	PartStormWatershed  = "storm and watershed" // all classes
	PartSeason          = "season"              // closed storms, as all that follow but the watersheds'
	PartSeasonToDate    = "season to date"
	PartFirstThird      = "first third"
	PartLatestThird     = "latest third"
	PartSeasonWatershed = "season and watershed" // all classes, open storms too
	PartRoute           = "route"
	PartRouteToDate     = "route to date"
	PartRouteRoads      = "roads of a route" // both classes
	PartCrewRoads       = "roads of a crew"  // both classes, on the routes that it treated
)

// TallyKey names a row of tallies; what the part does not part by is empty.
type TallyKey struct{ Part, Season, StormID, ZoneID, Watershed, RouteID, CrewID, Class string }

// Key names the row.
func (t Tally) Key() TallyKey {
	return TallyKey{t.Part, t.Season, t.StormID, t.ZoneID, t.Watershed, t.RouteID, t.CrewID, t.MaterialClass}
}

// NotBareShare is the share not bare within the cap of the route-storms with reports.
func (t Tally) NotBareShare() *float64 { return RatioOf(float64(t.NotBare), float64(t.Bare+t.NotBare)) }

// OrZero is the number, 0 for nil.
func OrZero(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

// Lower is the smaller of two values, of which either may be missing.
func Lower(a, b *float64) *float64 {
	if a == nil || (b != nil && *b < *a) {
		return b
	}
	return a
}

// RatioOf is sum / parts; nil where parts is 0.
func RatioOf(sum, parts float64) *float64 {
	if parts == 0 {
		return nil
	}
	quotient := sum / parts
	return &quotient
}
