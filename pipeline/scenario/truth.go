package scenario

// Truth is what was planted: every figure by which a test can ask whether the program finds it. Instants are RFC 3339
// in UTC, lists are in a fixed order.
type Truth struct {
	Seed        uint64          `json:"seed"`
	TimeZone    string          `json:"time_zone"`
	AsOfAt      string          `json:"as_of_at"`
	Storms      []StormTruth    `json:"storms"`
	Flurries    []SeasonCount   `json:"flurries"`
	Law         LawTruth        `json:"law"`
	Learning    []CrewTruth     `json:"learning"`
	Claims      []ClaimTruth    `json:"claims"`
	MisSet      MisSetTruth     `json:"wrong_setting"`
	Spreaders   []SpreaderTruth `json:"spreaders"`
	Shrinkage   ShrinkageTruth  `json:"shrinkage"`
	Price       PriceTruth      `json:"price_change"`
	Overdue     string          `json:"calibration_overdue_truck_id"`
	OverdueLast string          `json:"calibration_overdue_last_at"`
	CatchTruck  string          `json:"catch_test_truck_id"`
	Order       OrderTruth      `json:"order"`
	EvilCrewID  string          `json:"evil_label_crew_id"`
	Feeds       []FeedTruth     `json:"feeds"`
	BadRows     []BadRow        `json:"bad_rows"`
	Planted     PlantedTruth    `json:"planted"`
	Sensors     []SensorTruth   `json:"faulty_sensors"`
	Positions   *PositionsTruth `json:"positions"` // nil where all zones write sheets
}

// StormTruth is one storm; its id is by the local date on which its wintry reports begin.
type StormTruth struct {
	Season  string      `json:"season"`
	StormID string      `json:"storm_id"`
	Kind    string      `json:"planned_kind"`
	BeganAt string      `json:"run_began_at"`
	IsOpen  bool        `json:"is_open"`
	Effect  float64     `json:"ln_rate_effect"`
	Zones   []ZoneTruth `json:"zones"`
}

// ZoneTruth is one zone's share of a storm. A dry zone has the storm's interval. Temperature F, precipitation inches.
type ZoneTruth struct {
	ZoneID    string  `json:"zone_id"`
	IsDry     bool    `json:"is_dry"`
	BeganAt   string  `json:"began_at"`
	EndedAt   string  `json:"ended_at"`
	AirFMean  float64 `json:"air_f_mean"`
	PrecipIn  float64 `json:"precip_in"`
	FreezingH float64 `json:"freezing_h"`
}

// SeasonCount is a number by season.
type SeasonCount struct {
	Season string `json:"season"`
	Count  int    `json:"count"`
}

// LawTruth is the law of the application rates of solids, with its random parts as drawn. The figures of all crews take
// the mean of the crews' slopes, the slow one with them: what a fit that pools the crews estimates.
type LawTruth struct {
	Formula            string   `json:"formula"`
	BaseLb             float64  `json:"base_lb_per_lane_mi"`
	MeanF              float64  `json:"mean_air_f"`
	MeanIntensity      float64  `json:"mean_intensity_in_per_h"`
	PerF               float64  `json:"ln_rate_per_f"`
	PerIntensity       float64  `json:"ln_rate_per_in_per_h"`
	Freezing           float64  `json:"ln_rate_freezing"`
	StartRatio         float64  `json:"start_ratio"`
	PerDoubling        float64  `json:"ln_rate_per_doubling"`
	ChangePct          float64  `json:"change_per_doubling_pct"`
	SlowCrewID         string   `json:"slow_crew_id"`
	SlowSlope          float64  `json:"slow_crew_slope"`
	LatestRatio        float64  `json:"latest_ratio"`
	PerDoublingAll     float64  `json:"ln_rate_per_doubling_all_crews"`
	LatestRatioAll     float64  `json:"latest_ratio_all_crews"`
	LatestStorms       float64  `json:"latest_prior_storms_median"`
	TreatShare         float64  `json:"treat_share"` // of rounds after the first; of acetate and chloride alike
	RegainAcetateRatio float64  `json:"regain_acetate_ratio"`
	SDStorm            float64  `json:"sd_storm"`
	SDRoute            float64  `json:"sd_route"`
	SDCrew             float64  `json:"sd_crew"`
	SDResidual         float64  `json:"sd_residual"`
	SDPass             float64  `json:"sd_pass"`
	Routes             []Effect `json:"route_effects"`
	Crews              []Effect `json:"crew_effects"`
}

// Effect is one random effect on ln(rate).
type Effect struct {
	ID     string  `json:"id"`
	Effect float64 `json:"ln_rate_effect"`
}

// CrewTruth is one crew's learning: storms worked with acetate before its latest one, and its own slope.
type CrewTruth struct {
	CrewID      string  `json:"crew_id"`
	LatestPrior int     `json:"latest_prior_storms"`
	PerDoubling float64 `json:"ln_rate_per_doubling"`
	LatestRatio float64 `json:"latest_ratio"`
	IsSlow      bool    `json:"is_slow"`
}

// MisSetTruth is the truck that carries one material on another's setting. FirstWeek is the Monday of its first whole week.
type MisSetTruth struct {
	TruckID    string  `json:"truck_id"`
	MaterialID string  `json:"material_id"`
	SetFor     string  `json:"set_for"`
	SinceAt    string  `json:"since_at"`
	FirstWeek  string  `json:"first_week"`
	Ratio      float64 `json:"weighed_over_spread"`
}

// SpreaderTruth is a spreader's constant error: pounds thrown / pounds counted.
type SpreaderTruth struct {
	TruckID string  `json:"truck_id"`
	Ratio   float64 `json:"weighed_over_spread"`
}

// ShrinkageTruth is material that left without a ticket.
type ShrinkageTruth struct {
	StockpileID string  `json:"stockpile_id"`
	MaterialID  string  `json:"material_id"`
	At          string  `json:"at"`
	AmountLb    float64 `json:"amount_lb"`
}

// PriceTruth is a change of price, USD per short ton.
type PriceTruth struct {
	MaterialID string  `json:"material_id"`
	FromDate   string  `json:"from_date"`
	BeforeUSD  float64 `json:"before_usd_per_ton"`
	AfterUSD   float64 `json:"after_usd_per_ton"`
}

// OrderTruth is the rate order of orders.csv; its true effect on ln(rate) is Effect.
type OrderTruth struct {
	FromDate string  `json:"from_date"`
	Text     string  `json:"text"`
	Effect   float64 `json:"ln_rate_effect"`
}

// FeedTruth counts a feed's rows over all its files; a file that repeats another counts 0 rows.
type FeedTruth struct {
	Feed        string `json:"feed"`
	Files       int    `json:"files"`
	RowsRead    int    `json:"rows_read"`
	Accepted    int    `json:"accepted"`
	Duplicates  int    `json:"duplicates"`
	Corrections int    `json:"corrections"`
	Quarantined int    `json:"quarantined"`
}

// BadRow is a row that must be quarantined. Column is empty where the row as a whole is broken.
type BadRow struct {
	Feed   string `json:"feed"`
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column string `json:"column"`
	Kind   string `json:"kind"`
}

// PlantedTruth names the deliveries and passes that are out of the ordinary.
type PlantedTruth struct {
	LateFile        string   `json:"late_file"`
	LatePasses      int      `json:"late_passes"`
	CorrectedFile   string   `json:"corrected_file"`
	CorrectedRows   int      `json:"corrected_rows"`
	CorrectedOverLb float64  `json:"corrected_over_lb"` // told at first above what holds
	RepeatedFile    string   `json:"repeated_file"`
	RepeatedSameAs  string   `json:"repeated_same_as"`
	LentTruckID     string   `json:"lent_truck_id"`
	LentRouteID     string   `json:"lent_route_id"`
	LentStormIDs    []string `json:"lent_storm_ids"`
	LentPasses      int      `json:"lent_passes"`
	LentLb          float64  `json:"lent_lb"`
	UnloggedZoneID  string   `json:"unlogged_zone_id"`
	UnloggedStormID string   `json:"unlogged_storm_id"`
	UnloggedPasses  int      `json:"unlogged_passes"`
	Spots           int      `json:"spot_treatments"`
	SpotLb          float64  `json:"spot_lb"`
	PretreatLiquid  int      `json:"pretreat_liquid_passes"`
	FrostPasses     int      `json:"frost_passes"`
	DriftPasses     int      `json:"drift_passes"`
	ClockStormID    string   `json:"clock_change_storm_id"`
	ClockFile       string   `json:"clock_change_file"`
	ClockPasses     []Clock  `json:"clock_change_passes"`
	OpenStormID     string   `json:"open_storm_id"`
}

// Clock is a pass in the repeated hour, as written and as it was.
type Clock struct {
	PassID  string `json:"pass_id"`
	TruckID string `json:"truck_id"`
	Written string `json:"written_began_at"`
	BeganAt string `json:"began_at"`
	EndedAt string `json:"ended_at"`
}

// SensorTruth is a planted fault of a surface sensor: `stuck` at one value, or a `jump` of one report.
type SensorTruth struct {
	StationID string `json:"station_id"`
	Kind      string `json:"kind"`
	FromAt    string `json:"from_at"`
	ToAt      string `json:"to_at"`
}
