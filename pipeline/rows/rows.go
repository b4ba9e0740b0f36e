package rows

import (
	"cmp"
	"time"
)

// Storm is a row of storms: one storm in one zone.
type Storm struct {
	Season       string    `db:"season"`
	StormID      string    `db:"storm_id"`
	DistrictID   string    `db:"district_id"`
	ZoneID       string    `db:"zone_id"`
	BeganAt      time.Time `db:"began_at"`
	EndedAt      time.Time `db:"ended_at"`
	Hours        *float64  `db:"hours"`
	IsOpen       bool      `db:"is_open"`
	IsDeclared   bool      `db:"is_declared"`
	Kind         string    `db:"kind"`
	SnowH        *float64  `db:"snow_h"`
	FreezingH    *float64  `db:"freezing_h"`
	SleetH       *float64  `db:"sleet_h"`
	PrecipIn     *float64  `db:"precip_in"`
	AirFMean     *float64  `db:"air_f_mean"`
	AirFMin      *float64  `db:"air_f_min"`
	SurfaceFMin  *float64  `db:"surface_f_min"`
	WindMphMax   *float64  `db:"wind_mph_max"`
	Severity     *float64  `db:"severity"`
	SeverityOnly *float64  `db:"severity_storm"`
}

// StormRoute is a row of storm_routes: what one route got in one storm, by material class and form. Class and form are
// empty on the one row of a route that had passes and no treating pass.
type StormRoute struct {
	Season             string     `db:"season"`
	StormID            string     `db:"storm_id"`
	ZoneID             string     `db:"zone_id"`
	RouteID            string     `db:"route_id"`
	MaterialClass      string     `db:"material_class"`
	Form               string     `db:"form"`
	CrewIDs            string     `db:"crew_ids"`
	RouteLaneMiles     *float64   `db:"route_lane_miles"`
	TreatedLaneMiles   *float64   `db:"treated_lane_miles"`
	MeasuredLaneMiles  *float64   `db:"measured_lane_miles"`
	AppliedLb          *float64   `db:"applied_lb"`
	UnplacedLb         *float64   `db:"unplaced_lb"`
	PrewetLb           *float64   `db:"prewet_lb"`
	RateLbPerLaneMi    *float64   `db:"rate_lb_per_lane_mi"`
	StormLbPerLaneMi   *float64   `db:"storm_lb_per_lane_mi"`
	Applications       *float64   `db:"applications"`
	CoveredShare       *float64   `db:"covered_share"`
	Rounds             *int64     `db:"rounds"`
	MedianRoundGapH    *float64   `db:"median_round_gap_h"`
	TreatingPasses     *int64     `db:"treating_passes"`
	UnmeasuredPasses   *int64     `db:"unmeasured_passes"`
	PlowPasses         *int64     `db:"plow_passes"`
	FirstApplicationAt *time.Time `db:"first_application_at"`
	OnsetLagMin        *float64   `db:"onset_lag_min"`
	ColdShare          *float64   `db:"cold_share"`
	WindShare          *float64   `db:"wind_share"`
	RegainH            *float64   `db:"regain_h"`
	RegainState        string     `db:"regain_state"`
	ChlorideLb         *float64   `db:"chloride_lb"`
	CostUsd            *float64   `db:"cost_usd"`
	SetRateShare       *float64   `db:"set_rate_share"`
	CappedRegainH      *float64   `db:"capped_regain_h"`
	IsBareInCap        *bool      `db:"is_bare_in_cap"`

	Corrected *StormRouteCorrected // the same by weighed loads; put beside it by the book, nil without
	Withheld
}

// OutsideStorm is a row of outside_storms: what a route got in a season outside all storms.
type OutsideStorm struct {
	Season           string   `db:"season"`
	RouteID          string   `db:"route_id"`
	MaterialClass    string   `db:"material_class"`
	Form             string   `db:"form"`
	TreatingPasses   *int64   `db:"treating_passes"`
	UnmeasuredPasses *int64   `db:"unmeasured_passes"`
	PlowPasses       *int64   `db:"plow_passes"`
	TreatedLaneMiles *float64 `db:"treated_lane_miles"`
	AppliedLb        *float64 `db:"applied_lb"`
}

// CrewStorm is a row of crew_storms: what one crew put on one route in one storm.
type CrewStorm struct {
	Season            string   `db:"season"`
	StormID           string   `db:"storm_id"`
	CrewID            string   `db:"crew_id"`
	RouteID           string   `db:"route_id"`
	MaterialClass     string   `db:"material_class"`
	Form              string   `db:"form"`
	PriorStorms       *int64   `db:"prior_storms"`
	TreatedLaneMiles  *float64 `db:"treated_lane_miles"`
	MeasuredLaneMiles *float64 `db:"measured_lane_miles"`
	AppliedLb         *float64 `db:"applied_lb"`
	RateLbPerLaneMi   *float64 `db:"rate_lb_per_lane_mi"`
	LearningUse       string   `db:"learning_use"`
	Withheld
}

// SeasonDate is a row of season_dates: the instant up to which a season stands beside the one that is running, nil for that one.
type SeasonDate struct {
	Season     string     `db:"season"`
	SameDateAt *time.Time `db:"same_date_at"`
}

// StormPass is a row of storm_passes: one pass in force. StormID is empty outside storms.
type StormPass struct {
	PassKey       string    `db:"pass_key"`
	StormID       string    `db:"storm_id"`
	Season        string    `db:"season"`
	ZoneID        string    `db:"zone_id"`
	RouteID       string    `db:"route_id"`
	TruckID       string    `db:"truck_id"`
	CrewID        string    `db:"crew_id"`
	BeganAt       time.Time `db:"began_at"`
	EndedAt       time.Time `db:"ended_at"`
	MaterialID    string    `db:"material_id"`
	MaterialClass string    `db:"material_class"`
	Form          string    `db:"form"`
	IsTreating    bool      `db:"is_treating"`
	LaneMiles     *float64  `db:"lane_miles"`
	AppliedLb     *float64  `db:"applied_lb"`
	PavementF     *float64  `db:"pavement_f"`
	Withheld
}

// Observation is a row of observations: one report of one station.
type Observation struct {
	StationID  string    `db:"station_id"`
	ObservedAt time.Time `db:"observed_at"`
	AirF       *float64  `db:"air_f"`
	SurfaceF   *float64  `db:"surface_f"`
	WindMph    *float64  `db:"wind_mph"`
	PrecipIn   *float64  `db:"precip_in"`

	VisibilityMi *float64 `db:"visibility_mi"`
	PresentWx    string   `db:"present_wx"`
}

// FindingRow is a row of findings: something that needs a person's attention. Findings about crews are not shown.
type FindingRow struct {
	Finding
	SubjectKind string     `db:"subject_kind"`
	SubjectID   string     `db:"subject_id"`
	StormID     string     `db:"storm_id"`
	SinceAt     *time.Time `db:"since_at"`
}

// Gap is a row of gaps: what is not there, of a zone or of the whole district. Amounts are counts.
type Gap struct {
	Code        string   `db:"finding_code"`
	SubjectKind string   `db:"subject_kind"`
	SubjectID   string   `db:"subject_id"`
	Amount      *float64 `db:"amount"`
	Other       *float64 `db:"other_amount"`
	Name        string   `db:"name"`
}

// Finding is the gap as pages and the command line tell it.
func (g Gap) Finding() FindingRow {
	return FindingRow{SubjectKind: g.SubjectKind, SubjectID: g.SubjectID,
		Finding: Finding{Code: g.Code, Amount: g.Amount, Unit: Count, Other: g.Other, OtherUnit: Count, Name: g.Name}}
}

// CompareGaps puts what leaves all figures empty first.
func CompareGaps(x, y Gap) int {
	return cmp.Or(cmp.Compare(KindPlace(x.Finding().Kind()), KindPlace(y.Finding().Kind())), cmp.Compare(x.Code, y.Code),
		cmp.Compare(x.SubjectID, y.SubjectID))
}

// FeedEnd is a row of feed_ends: how far a feed tells, and how far that is behind the others.
type FeedEnd struct {
	Feed    string    `json:"feed" db:"feed"`
	UntilAt time.Time `json:"until_at" db:"until_at"`
	BehindH float64   `json:"behind_h" db:"behind_h"`
	StaleH  *float64  `json:"stale_h" db:"stale_h"`
	IsStale bool      `json:"is_stale" db:"is_stale"`
}

// Flurry is a row of flurries: wintry spells of a season that were too small to be storms.
type Flurry struct {
	Season     string `db:"season"`
	DistrictID string `db:"district_id"`
	Flurries   *int64 `db:"flurries"`
}

// Intake is a row of intake: what became of the rows of one delivery file.
type Intake struct {
	Feed        string `json:"feed" db:"feed"`
	File        string `json:"file" db:"file"`
	SHA256      string `json:"-" db:"sha256"`
	SameAs      string `json:"same_as,omitempty" db:"same_as"`
	RowsRead    int64  `json:"rows_read" db:"rows_read"`
	Accepted    int64  `json:"accepted" db:"accepted"`
	Duplicates  int64  `json:"duplicates" db:"duplicates"`
	Corrections int64  `json:"corrections" db:"corrections"`
	Quarantined int64  `json:"quarantined" db:"quarantined"`
}

// Quarantine is a row of quarantine: one delivered row that is not counted. Line is 0 where the whole file is meant, nil where the row
// stands for others of its file and reason.
type Quarantine struct {
	Feed   string `json:"feed" db:"feed"`
	File   string `json:"file" db:"file"`
	Line   *int64 `json:"line" db:"line"`
	Column string `json:"column" db:"column"`
	Reason string `json:"reason" db:"reason"`
	Remedy string `json:"remedy" db:"remedy"`
	Raw    string `json:"-" db:"raw"`
	Rows   int64  `json:"rows" db:"rows"`
}

// SetAside is a row of set_aside: quarantined passes of one truck for one reason.
type SetAside struct {
	TruckID     string     `db:"truck_id"`
	ReasonCode  string     `db:"reason_code"`
	Rows        *int64     `db:"rows"`
	DispensedLb *float64   `db:"dispensed_lb"`
	FirstAt     *time.Time `db:"first_at"`
	LastAt      *time.Time `db:"last_at"`
}

// Reason is the reason in words.
func (s SetAside) Reason() string { return Fault{Code: s.ReasonCode}.Reason() }

// SetAsideTruck is a row of set_aside_trucks: what is set aside of one truck (Part truck) or of all (Part all).
type SetAsideTruck struct {
	Part        string   `db:"part"`
	TruckID     string   `db:"truck_id"` // empty for rows that name none
	Rows        int64    `db:"rows"`
	DispensedLb *float64 `db:"dispensed_lb"`
}

// PositionTruck is a row of position_trucks: what became of a truck's positions in a season.
type PositionTruck struct {
	Season        string   `db:"season"`
	TruckID       string   `db:"truck_id"`
	Traces        *int64   `db:"traces"`
	Points        *int64   `db:"points"`
	OnRoute       *int64   `db:"on_route"`
	OffNetwork    *int64   `db:"off_network"`
	Jumps         *int64   `db:"jumps"`
	Frozen        *int64   `db:"frozen"`
	CounterFaults *int64   `db:"counter_faults"`
	TravelMi      *float64 `db:"travel_mi"`
	OffNetworkMi  *float64 `db:"off_network_mi"`
	FedLb         *float64 `db:"fed_lb"`
	UnplacedLb    *float64 `db:"unplaced_lb"`
}

// UnknownColumn is a column of a delivery that the contract does not know; it is kept out.
type UnknownColumn struct {
	Feed   string `db:"feed"`
	File   string `db:"file"`
	Column string `db:"column"`
}

// Zone is a row of zones: a stretch of country whose roads see the same weather.
type Zone struct {
	ZoneID     string `db:"zone_id"`
	Name       string `db:"name"`
	DistrictID string `db:"district_id"`
}

// Station is a row of stations.
type Station struct {
	StationID string `db:"station_id"`
	ZoneID    string `db:"zone_id"`
	Name      string `db:"name"`
}

// Route is a row of routes.
type Route struct {
	RouteID         string   `db:"route_id"`
	Name            string   `db:"name"`
	ZoneID          string   `db:"zone_id"`
	FromMi          *float64 `db:"from_mi"`
	ToMi            *float64 `db:"to_mi"`
	LaneMiles       *float64 `db:"lane_miles"`
	BridgeLaneMiles *float64 `db:"bridge_lane_miles"`
	Watershed       string   `db:"watershed"`
}

// Assignment is a row of assignments: which class a route gets, and which crew treats it, from when to when.
type Assignment struct {
	RouteID       string     `db:"route_id"`
	FromDate      time.Time  `db:"from_date"`
	ToDate        *time.Time `db:"to_date"`
	MaterialClass string     `db:"material_class"`
	CrewID        string     `db:"crew_id"`
}

// Crew is a row of crews. Members is how many are in it, nil where nobody says; who they are is no business of the pages.
type Crew struct {
	CrewID  string `db:"crew_id"`
	Label   string `db:"label"`
	Members *int64
}

// Material is a row of materials.
type Material struct {
	MaterialID     string   `db:"material_id"`
	Name           string   `db:"name"`
	Class          string   `db:"class"`
	Form           string   `db:"form"`
	LowestWorkingF *float64 `db:"lowest_working_f"`
}

// Order is a row of orders: a rate order, a new setting, a shortage; marked on every trend.
type Order struct {
	FromDate      time.Time `db:"from_date"`
	Text          string    `db:"text"`
	MaterialClass string    `db:"material_class"`
	RouteID       string    `db:"route_id"`
}
