package rows

import "time"

// Learning is a row of learning: the fit of acetate rates on storms worked, of one crew or, crew_id `all`, of the district.
type Learning struct {
	CrewID            string   `db:"crew_id"`
	Storms            int64    `db:"storms"`
	Rows              int64    `db:"rows"`
	RowsLeftOut       int64    `db:"rows_left_out"`
	PriorStormsLatest *float64 `db:"prior_storms_latest"`
	StartRate         *float64 `db:"start_rate_lb_per_lane_mi"`
	ChangePct         *float64 `db:"change_per_doubling_pct"`
	ChangeLow90Pct    *float64 `db:"change_low90_pct"`
	ChangeHigh90Pct   *float64 `db:"change_high90_pct"`
	DF                *float64 `db:"df"`
	LatestRate        *float64 `db:"latest_rate_lb_per_lane_mi"`
	SDStorm           *float64 `db:"sd_storm"`
	SDRoute           *float64 `db:"sd_route"`
	SDCrew            *float64 `db:"sd_crew"`
	SDSlope           *float64 `db:"sd_slope"`
	SDResidual        *float64 `db:"sd_residual"`
	StartRatio        *float64 `db:"start_ratio"`
	StartRatioLow90   *float64 `db:"start_ratio_low90"`
	StartRatioHigh90  *float64 `db:"start_ratio_high90"`
	LatestRatio       *float64 `db:"latest_ratio"`
	LatestRatioLow90  *float64 `db:"latest_ratio_low90"`
	LatestRatioHigh90 *float64 `db:"latest_ratio_high90"`
	PathVerdict       string   `db:"path_verdict"`
	NetChangePct      *float64 `db:"net_change_pct"`
	NetLow90Pct       *float64 `db:"net_low90_pct"`
	NetHigh90Pct      *float64 `db:"net_high90_pct"`
	SaltTrendPct      *float64 `db:"salt_trend_pct"`
	StartVerdict      string   `db:"start_verdict"`
	ControlVerdict    string   `db:"control_verdict"`
	Verdict           string   `db:"verdict"`         // the verdict, then its caveats, each after "; "
	ServiceVerdict    string   `db:"service_verdict"` // roads_verdict of the latest season
	NotAdjustedFor    string   `db:"not_adjusted_for"`
}

// LearningCurve is a row of learning_curves: a point of a fitted curve in mean weather, of a crew or of all.
type LearningCurve struct {
	CrewID      string   `db:"crew_id"`
	PriorStorms int64    `db:"prior_storms"`
	Rate        *float64 `db:"rate_lb_per_lane_mi"`
	RateLow90   *float64 `db:"rate_low90_lb_per_lane_mi"`
	RateHigh90  *float64 `db:"rate_high90_lb_per_lane_mi"`
}

// LearningResidual is a row of learning_residuals: a rate that the curve was fitted on, with what the fit expected of that crew,
// storm and route. An outlier is marked for review and stays in the fit.
type LearningResidual struct {
	StormID    string   `db:"storm_id"`
	CrewID     string   `db:"crew_id"`
	RouteID    string   `db:"route_id"`
	Rate       *float64 `db:"rate_lb_per_lane_mi"`
	Fitted     *float64 `db:"fitted_rate_lb_per_lane_mi"`
	Residual   float64  `db:"residual"`          // of the rate's logarithm
	Deviations *float64 `db:"robust_deviations"` // its distance from the median; nil where there is no spread to judge by
	IsOutlier  bool     `db:"is_outlier"`
}

// LearningOrder is a row of learning_orders: the change per doubling when a step at an order stands in the fit or, without FromDate, a
// straight change by each storm worked, as instructions that nobody logged make it; nil where the two cannot be told apart. Moves: the
// change no longer lies on its side of 0.
type LearningOrder struct {
	Number          int64      `db:"number"` // in reading order
	FromDate        *time.Time `db:"from_date"`
	Text            string     `db:"text"`
	RouteID         string     `db:"route_id"`
	ChangePct       *float64   `db:"change_per_doubling_pct"`
	ChangeLow90Pct  *float64   `db:"change_low90_pct"`
	ChangeHigh90Pct *float64   `db:"change_high90_pct"`
	Moves           bool       `db:"is_moved"`
}

// LearningFit is a row of learning_fits: what one fit was given and used. Lists have `;` between.
type LearningFit struct {
	Fit         string `db:"fit"`
	State       string `db:"state"`
	Reason      string `db:"reason"`
	RowsGiven   int64  `db:"rows_given"`
	RowsUsed    int64  `db:"rows_used"`
	Storms      int64  `db:"storms"`
	Columns     string `db:"columns"`
	NotAdjusted string `db:"not_adjusted_for"`
	Constant    string `db:"constant"`
	Dropped     string `db:"cannot_be_told_apart"`
	Warnings    string `db:"warnings"`
}

// LearningLeftOut is a row of learning_left_out: rows that a fit left out for one reason.
type LearningLeftOut struct {
	Fit    string `db:"fit"`
	Reason string `db:"reason"`
	Rows   int64  `db:"rows"`
}

// StormReason is a row of storm_reasons: a route that got more or less of a class in a storm than its middle half.
type StormReason struct {
	Season           string   `db:"season"`
	StormID          string   `db:"storm_id"`
	RouteID          string   `db:"route_id"`
	MaterialClass    string   `db:"material_class"`
	StormLb          *float64 `db:"storm_lb_per_lane_mi"`
	Storms           *int64   `db:"storms"`
	LowStormLb       *float64 `db:"low_storm_lb_per_lane_mi"`
	HighStormLb      *float64 `db:"high_storm_lb_per_lane_mi"`
	TotalKind        string   `db:"total_kind"`
	ApplicationsKind string   `db:"applications_kind"`
	RateKind         string   `db:"rate_kind"`
	FitKind          string   `db:"fit_kind"`
	IsOutlier        bool     `db:"is_outlier"`
}

// UsedRate is a row of used_rates: quartiles of the rates of a material on pavement of one band in storms of one kind.
type UsedRate struct {
	MaterialID            string   `db:"material_id"`
	MaterialClass         string   `db:"material_class"`
	Form                  string   `db:"form"`
	BandNo                *int64   `db:"band_no"`
	FromF                 *float64 `db:"from_f"`
	ToF                   *float64 `db:"to_f"`
	StormKind             string   `db:"storm_kind"`
	Storms                *int64   `db:"storms"`
	RouteStorms           *int64   `db:"route_storms"`
	LowRate               *float64 `db:"low_rate_lb_per_lane_mi"`
	MedianRate            *float64 `db:"median_rate_lb_per_lane_mi"`
	HighRate              *float64 `db:"high_rate_lb_per_lane_mi"`
	RegainH               *float64 `db:"regain_h"`
	BareRoutes            *int64   `db:"bare_routes"`
	NotBareRoutes         *int64   `db:"not_bare_routes"`
	HandbookFirstLow      *float64 `db:"handbook_first_low_lb_per_lane_mi"`
	HandbookFirstHigh     *float64 `db:"handbook_first_high_lb_per_lane_mi"`
	HandbookFollowingLow  *float64 `db:"handbook_following_low_lb_per_lane_mi"`
	HandbookFollowingHigh *float64 `db:"handbook_following_high_lb_per_lane_mi"`
	Caution               string   `db:"caution"`
}
