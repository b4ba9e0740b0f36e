package rows

import "time"

// CostSum is a row of cost_sums: what one class of material cost in one storm (Part storm; StormID is empty outside storms) or on one route
// in a season (Part route).
// UsdPerLaneMi is for each lane-mile of the routes.
type CostSum struct {
	Part                string   `db:"part"`
	Season              string   `db:"season"`
	StormID             string   `db:"storm_id"`
	RouteID             string   `db:"route_id"`
	MaterialClass       string   `db:"material_class"`
	Usd                 *float64 `db:"usd"`
	UsdPerLaneMi        *float64 `db:"usd_per_lane_mi"`
	UsdPerTreatedLaneMi *float64 `db:"usd_per_treated_lane_mi"`
	Withheld
}

// WholeSeason is a row of whole_seasons: what all classes of a season cost beside their budgets, and the chloride kept off in all
// watersheds. KeptOffRouteStorms of
// AcetateRouteStorms could be compared.
type WholeSeason struct {
	Season             string   `db:"season"`
	Usd                *float64 `db:"usd"`
	BudgetShare        *float64 `db:"budget_share"`
	KeptOffLb          *float64 `db:"kept_off_lb"`
	KeptOffRouteStorms int64    `db:"kept_off_route_storms"`
	AcetateRouteStorms int64    `db:"acetate_route_storms"`
	Withheld
}

// SeasonCost is a row of season_costs: a season's cost of one class of material beside its budget.
type SeasonCost struct {
	Season              string     `db:"season"`
	MaterialClass       string     `db:"material_class"`
	Passes              int64      `db:"passes"`
	UnmeasuredPasses    int64      `db:"unmeasured_passes"`
	RouteLaneMiles      *float64   `db:"route_lane_miles"`
	TreatedLaneMiles    *float64   `db:"treated_lane_miles"`
	AppliedLb           *float64   `db:"applied_lb"`
	PrewetLb            *float64   `db:"prewet_lb"`
	Usd                 *float64   `db:"usd"`
	StormsUsd           *float64   `db:"storms_usd"`
	OutsideUsd          *float64   `db:"outside_usd"`
	UnpricedLb          *float64   `db:"unpriced_lb"`
	UsdPerLaneMi        *float64   `db:"usd_per_lane_mi"`
	UsdPerTreatedLaneMi *float64   `db:"usd_per_treated_lane_mi"`
	UsdPerTon           *float64   `db:"usd_per_ton"`
	FirstPriceDate      *time.Time `db:"first_price_date"`
	LastPriceDate       *time.Time `db:"last_price_date"`
	BudgetUsd           *float64   `db:"budget_usd"`
	BudgetLeftUsd       *float64   `db:"budget_left_usd"`
	BudgetShare         *float64   `db:"budget_share"`
	Withheld
}

// DamageAssumption is a row of damage_assumptions: never added to costs, always shown with Source and Label.
type DamageAssumption struct {
	Season        string   `db:"season"`
	Name          string   `db:"name"`
	MaterialClass string   `db:"material_class"`
	UsdPerTon     *float64 `db:"usd_per_ton"`
	Tons          *float64 `db:"tons"`
	Usd           *float64 `db:"usd"`
	Source        string   `db:"source"`
	Label         string   `db:"label"`
	Withheld
}

// BreakEven is a row of break_even: the acetate price at which a season's acetate routes would have cost what its chloride routes did.
type BreakEven struct {
	Season                 string     `db:"season"`
	Storms                 int64      `db:"storms"`
	AcetateRoutes          int64      `db:"acetate_routes"`
	ChlorideRoutes         int64      `db:"chloride_routes"`
	AcetateLbPerLaneMi     *float64   `db:"acetate_lb_per_lane_mi"`
	ChlorideLbPerLaneMi    *float64   `db:"chloride_lb_per_lane_mi"`
	AcetateUsdPerLaneMi    *float64   `db:"acetate_usd_per_lane_mi"`
	ChlorideUsdPerLaneMi   *float64   `db:"chloride_usd_per_lane_mi"`
	CostRatio              *float64   `db:"cost_ratio"`
	PoundRatio             *float64   `db:"pound_ratio"`
	AcetateUsdPerTon       *float64   `db:"acetate_usd_per_ton"`
	ChlorideUsdPerTon      *float64   `db:"chloride_usd_per_ton"`
	AcetateFirstPriceDate  *time.Time `db:"acetate_first_price_date"`
	AcetateLastPriceDate   *time.Time `db:"acetate_last_price_date"`
	ChlorideFirstPriceDate *time.Time `db:"chloride_first_price_date"`
	ChlorideLastPriceDate  *time.Time `db:"chloride_last_price_date"`
	BreakEvenUsdPerTon     *float64   `db:"break_even_usd_per_ton"`
	BreakEvenPriceRatio    *float64   `db:"break_even_price_ratio"`
	BreakEvenPoundRatio    *float64   `db:"break_even_pound_ratio"`
	Withheld
}

// WatershedStorm is a row of watershed_storms; StormID is empty outside storms, Watershed for routes that name none. KeptOffRoutes of
// AcetateRoutes could be compared.
type WatershedStorm struct {
	Season         string   `db:"season"`
	StormID        string   `db:"storm_id"`
	Watershed      string   `db:"watershed"`
	Routes         int64    `db:"routes"`
	ChlorideLb     *float64 `db:"chloride_lb"`
	AcetateLb      *float64 `db:"acetate_lb"`
	AcetateRoutes  int64    `db:"acetate_routes"`
	KeptOffRoutes  int64    `db:"kept_off_routes"`
	KeptOffLb      *float64 `db:"kept_off_lb"`
	KeptOffBasis   string   `db:"kept_off_basis"`
	OxygenDemandLb *float64 `db:"oxygen_demand_lb"`
	Unmeasured     int64    `db:"unmeasured_passes"`
	Withheld
}

// WatershedSeason is a row of watershed_seasons.
type WatershedSeason struct {
	Season              string   `db:"season"`
	Watershed           string   `db:"watershed"`
	Storms              int64    `db:"storms"`
	LaneMiles           *float64 `db:"lane_miles"`
	ChlorideLb          *float64 `db:"chloride_lb"`
	OutsideChlorideLb   *float64 `db:"outside_chloride_lb"`
	ChlorideLbPerLaneMi *float64 `db:"chloride_lb_per_lane_mi"`
	AcetateLb           *float64 `db:"acetate_lb"`
	AcetateRouteStorms  int64    `db:"acetate_route_storms"`
	KeptOffRouteStorms  int64    `db:"kept_off_route_storms"`
	KeptOffLb           *float64 `db:"kept_off_lb"`
	KeptOffShare        *float64 `db:"kept_off_share"`
	KeptOffBasis        string   `db:"kept_off_basis"`
	OxygenDemandLb      *float64 `db:"oxygen_demand_lb"`
	Unmeasured          int64    `db:"unmeasured_passes"`
	Withheld
}

// TimingTalk is a row of timing_talk: one thing for the next tailgate talk, about a route in a storm and never about a crew. Kind is cold,
// wind, early or late.
type TimingTalk struct {
	Season        string   `db:"season"`
	StormID       string   `db:"storm_id"`
	RouteID       string   `db:"route_id"`
	MaterialClass string   `db:"material_class"`
	Kind          string   `db:"kind"`
	Share         *float64 `db:"share"`
	AmountLb      *float64 `db:"amount_lb"`
	SnowBeforeH   *float64 `db:"snow_before_h"`
	Reason        string   `db:"reason"`
}
