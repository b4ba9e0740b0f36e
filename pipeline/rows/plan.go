package rows

// The designs of a plan: acetate and chloride routes from the first storm on; the same after a winter with all routes on chloride; every
// route changing its class halfway through each season, half of them starting on acetate.
const (
	NoWinterBefore  = "no winter before"
	OneWinterBefore = "one winter before"
	Crossover       = "half-season crossover"
)

// PlanDesigns are the designs in reading order.
var PlanDesigns = []string{NoWinterBefore, OneWinterBefore, Crossover}

// PlanChanceShare is the chance that a plan is to reach, PlanLimit the most storms, routes of a class or districts that are tried.
const PlanChanceShare, PlanLimit = 0.80, 250

// Plan is a row of plans: what a design of so many routes, storms and seasons in each of so many districts can tell of the ratio of pounds.
// What is needed stands for itself, all else as given, and is nil where the most that is tried does not do. Standard deviations are of ln
// pounds per lane-mile.
type Plan struct {
	Design               string  `db:"design" json:"design"`
	Margin               float64 `db:"margin" json:"margin"`
	AcetateRoutes        int64   `db:"acetate_routes" json:"acetate_routes"` // of a district
	ChlorideRoutes       int64   `db:"chloride_routes" json:"chloride_routes"`
	SeasonStorms         int64   `db:"season_storms" json:"season_storms"`
	Seasons              int64   `db:"seasons" json:"seasons"`
	Districts            int64   `db:"districts" json:"districts"`
	ChanceShare          float64 `db:"chance_share" json:"chance_share"`     // of showing a true ratio of 1 to lie within the margin
	StormsNeeded         *int64  `db:"storms_needed" json:"storms_needed"`   // with acetate, in each district
	StormsMore           *int64  `db:"storms_more" json:"storms_more"`       // from now on
	SeasonsNeeded        *int64  `db:"seasons_needed" json:"seasons_needed"` // that those storms take
	AcetateRoutesNeeded  *int64  `db:"acetate_routes_needed" json:"acetate_routes_needed"`
	ChlorideRoutesNeeded *int64  `db:"chloride_routes_needed" json:"chloride_routes_needed"`
	DistrictsNeeded      *int64  `db:"districts_needed" json:"districts_needed"` // for an answer that holds beyond them
	SDDistrict           float64 `db:"sd_district" json:"sd_district"`
	SDSeason             float64 `db:"sd_season" json:"sd_season"`
	SDRoute              float64 `db:"sd_route" json:"sd_route"`
	SDAcetateRoute       float64 `db:"sd_acetate_route" json:"sd_acetate_route"` // a route's own answer to acetate
	SDStormClass         float64 `db:"sd_storm_class" json:"sd_storm_class"`     // what a storm does to one class alone
	SDResidual           float64 `db:"sd_residual" json:"sd_residual"`
	Assumed              string  `db:"assumed" json:"assumed"` // names of those that no fit gave, "; " between, or all
}

// RouteSwitch is a row of route_switches: so many storms more of a class on a route would tell the material from the road.
type RouteSwitch struct {
	RouteID   string `db:"route_id"`
	IsAcetate bool   `db:"is_acetate"`
	Storms    int64  `db:"storms"`
}
