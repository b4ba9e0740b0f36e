// Package district is what a district says of itself: district.toml, the tables below reference/, and the addresses of its crews.
//
// In: the files of a district folder. Out: checked settings and tables, or all faults of a file at once, each with line and remedy; and
// the same as tables of the ledger.
package district

import (
	"time"
	_ "time/tzdata" // the clock changes must not depend on the machine

	"lanetally/pipeline/contract"
	"lanetally/pipeline/rows"
)

// Publish holds what may leave the district's own machine.
type Publish struct {
	CrewPages  string // who is led to a crew's page: site.CrewPagesAll, site.CrewPagesOwn or site.CrewPagesNone
	CrewLabels bool   // whether pages that name a crew show its label too
	RawLines   bool   // whether rows set aside are published as they were delivered
	LeadWith   string // which pounds the pages lead with: LeadReported or LeadCorrected
	Units      string // the units of the pages: UnitsUS or UnitsMetric
}

// Notify is the program, with its arguments, that a failed night runs with its summary on standard input; none when
// Command is empty. No shell reads it.
type Notify struct {
	Command []string
}

// The pounds that pages can lead with; exports keep applied_lb as reported.
const (
	LeadReported  = "reported"  // as the spreaders' controllers counted them
	LeadCorrected = "corrected" // scaled by weighed loads where those cover the passes
)

// The units that pages can show; exports and settings keep the US units of their names.
const (
	UnitsUS     = "us"
	UnitsMetric = rows.Metric
)

// Settings are the contents of district.toml. The unit stands last in each name; shares, margins and tolerances are
// shares of 1. LastStormDate is MM-DD. Location is the loaded TimeZone.
type Settings struct {
	Name     string
	TimeZone string
	Location *time.Location

	StormGapH       float64
	PretreatH       float64
	PretreatLiquidH float64
	CleanupH        float64
	CleanupPlowH    float64
	RoundGapMin     float64
	WindCautionMph  float64
	EarlyMin        float64
	RegainCapH      float64

	PassGapMin float64
	SpreadGapS float64
	MatchMin   float64

	LearningMinLaneMi float64
	LearningMinRows   int
	LearningMinStorms int
	ServiceMarginPct  float64

	Compare          string // class of material whose rates and routes are judged
	Beside           string // class that they are held against
	MixedShare       float64
	UnmeasuredShare  float64
	SameMargin       float64
	CompareMinStorms int
	RegainMarginH    float64

	ReconcileWeeks     int
	ReconcileTolerance float64
	DensityMinTickets  int
	CalibrationDays    int
	OutlookDraws       int
	LastStormDate      string
	LeadDays           float64

	StaleH       float64
	StuckH       float64
	KeepReleases int

	GateDropPct       float64
	GateQuarantinePct float64
	GateRowsPct       float64

	Publish     Publish
	Notify      Notify
	Feeds       map[string]contract.Mapping
	Budgets     []Budget
	DamageCosts []DamageCost
}

// SettingsFault holds every fault of district.toml, by line; the program ends with exit code 78.
type SettingsFault struct {
	Faults []contract.LineFault
}

// Error gives one line a fault.
func (f *SettingsFault) Error() string { return contract.JoinFaults(f.Faults) }

// settingKey is one top-level key of district.toml. Initial is its default: string, float64 or int; nil where the key
// must be given. Low and High bound a number, both included. Place gives the field that holds it.
type settingKey struct {
	Name      string
	Initial   any
	Low, High float64
	Meaning   string
	Place     func(*Settings) any
}

// settingGroup is a run of keys under one heading of district.toml.
type settingGroup struct {
	Heading string
	Keys    []settingKey
}

const (
	nameKey          = "name"
	timeZoneKey      = "time_zone"
	lastStormDateKey = "last_storm_date"
	compareKey       = "compare"
	besideKey        = "beside"
)

var settingGroups = []settingGroup{
	{"The district", []settingKey{
		{nameKey, "District", 0, 0, "name that the pages show", func(s *Settings) any { return &s.Name }},
		{timeZoneKey, nil, 0, 0, "time zone of the tz database in which times without an offset are meant; it must be given",
			func(s *Settings) any { return &s.TimeZone }},
	}},
	{"Storms and the passes that belong to them", []settingKey{
		{"storm_gap_h", 6.0, 0.5, 48, "hours without wintry weather that end a storm", func(s *Settings) any { return &s.StormGapH }},
		{"pretreat_h", 12.0, 0, 168, "hours before a storm in which a pass still belongs to it",
			func(s *Settings) any { return &s.PretreatH }},
		{"pretreat_liquid_h", 48.0, 0, 168, "the same for liquids", func(s *Settings) any { return &s.PretreatLiquidH }},
		{"cleanup_h", 12.0, 0, 168, "hours after a storm in which a pass still belongs to it",
			func(s *Settings) any { return &s.CleanupH }},
		{"cleanup_plow_h", 36.0, 0, 168, "the same for passes that only plow", func(s *Settings) any { return &s.CleanupPlowH }},
		{"round_gap_min", 120.0, 1, 1440, "minutes after the latest end that begin a new round",
			func(s *Settings) any { return &s.RoundGapMin }},
		{"wind_caution_mph", 20.0, 0, 100, "wind in miles per hour from which spreading counts as in strong wind",
			func(s *Settings) any { return &s.WindCautionMph }},
		{"early_min", 60.0, 0, 2880, "minutes before a storm from which a pass that is no pretreatment counts as early",
			func(s *Settings) any { return &s.EarlyMin }},
		{"regain_cap_h", 48.0, 1, 336, "hours after a storm in which bare lanes are looked for",
			func(s *Settings) any { return &s.RegainCapH }},
	}},
	{"Passes from vehicle positions", []settingKey{
		{"pass_gap_min", 10.0, 1, 120, "minutes of standing or silence after which a truck's next position begins another pass",
			func(s *Settings) any { return &s.PassGapMin }},
		{"spread_gap_s", 60.0, 0, 3600, "seconds for which spreading or plowing may rest within a pass",
			func(s *Settings) any { return &s.SpreadGapS }},
		{"match_min", 0.6, 0, 1, "share of its positions on the route, and confidence in the route, below which a pass does not count",
			func(s *Settings) any { return &s.MatchMin }},
	}},
	{"Learning", []settingKey{
		{"learning_min_lane_mi", 1.0, 0, 1000, "measured lane-miles that a row of the learning curve must have",
			func(s *Settings) any { return &s.LearningMinLaneMi }},
		{"learning_min_rows", 12, 3, 100000, "rows below which no curve is fitted", func(s *Settings) any { return &s.LearningMinRows }},
		{"learning_min_storms", 5, 2, 10000, "storms below which no curve is fitted",
			func(s *Settings) any { return &s.LearningMinStorms }},
		{"service_margin_pct", 10.0, 0, 100, "percent by which regain time may rise and still count as held",
			func(s *Settings) any { return &s.ServiceMarginPct }},
	}},
	{"Comparison", []settingKey{
		{compareKey, "acetate", 0, 0, "class of material that is compared, one of material_classes.csv",
			func(s *Settings) any { return &s.Compare }},
		{besideKey, "chloride", 0, 0, "class of material that it is held against", func(s *Settings) any { return &s.Beside }},
		{"mixed_share", 0.10, 0, 1, "share of other-class pounds above which a route-storm is left out",
			func(s *Settings) any { return &s.MixedShare }},
		{"unmeasured_share", 0.10, 0, 1, "share of passes without pounds above which a route-storm is left out",
			func(s *Settings) any { return &s.UnmeasuredShare }},
		{"same_margin", 0.10, 0.001, 1, "margin within which two totals are about the same; set it before the season",
			func(s *Settings) any { return &s.SameMargin }},
		{"compare_min_storms", 5, 2, 10000, "storms below which it is too early for a verdict",
			func(s *Settings) any { return &s.CompareMinStorms }},
		{"regain_margin_h", 1.0, 0, 48, "hours by which the compared class's routes may come bare later and still be no worse",
			func(s *Settings) any { return &s.RegainMarginH }},
	}},
	{"Weighed loads, calibration, stock", []settingKey{
		{"reconcile_weeks", 4, 1, 52, "weeks that the running ratio of weighed and spread covers",
			func(s *Settings) any { return &s.ReconcileWeeks }},
		{"reconcile_tolerance", 0.10, 0, 1, "share by which weighed and spread may differ",
			func(s *Settings) any { return &s.ReconcileTolerance }},
		{"density_min_tickets", 5, 1, 10000, "weighed loads that a finding of a wrong setting needs",
			func(s *Settings) any { return &s.DensityMinTickets }},
		{"calibration_days", 365, 1, 3650, "days after which a calibration is due again",
			func(s *Settings) any { return &s.CalibrationDays }},
		{"outlook_draws", 10000, 100, 1000000, "draws of the stock outlook", func(s *Settings) any { return &s.OutlookDraws }},
		{lastStormDateKey, "04-15", 0, 0, "month and day, MM-DD, after which no storm is expected",
			func(s *Settings) any { return &s.LastStormDate }},
		{"lead_days", 14.0, 0, 365, "days from an order of material to its delivery", func(s *Settings) any { return &s.LeadDays }},
	}},
	{"Keeping watch", []settingKey{
		{"stale_h", 36.0, 1, 8760, "hours after which data or site are stale", func(s *Settings) any { return &s.StaleH }},
		{"stuck_h", 12.0, 1, 240, "hours of one unchanged temperature after which a sensor is taken for stuck",
			func(s *Settings) any { return &s.StuckH }},
		{"keep_releases", 14, 1, 10000, "former releases that are kept, beside the last one of each month",
			func(s *Settings) any { return &s.KeepReleases }},
		{"gate_drop_pct", 5.0, 0, 100, "percent by which a season's pounds may fall from one night to the next without a correction",
			func(s *Settings) any { return &s.GateDropPct }},
		{"gate_quarantine_pct", 20.0, 0, 100, "percent of a night's new rows of a feed that may be set aside",
			func(s *Settings) any { return &s.GateQuarantinePct }},
		{"gate_rows_pct", 5.0, 0, 100, "percent of its rows that a file may lose from one night to the next, corrections apart",
			func(s *Settings) any { return &s.GateRowsPct }},
	}},
}

// settingKeys gives every top-level key in the order of district.toml.
func settingKeys() []settingKey {
	var keys []settingKey
	for _, group := range settingGroups {
		keys = append(keys, group.Keys...)
	}
	return keys
}

// DefaultSettings gives every key its default; TimeZone stays empty.
func DefaultSettings() *Settings {
	settings := &Settings{Publish: Publish{CrewPages: rows.CrewPagesOwn, LeadWith: LeadReported, Units: UnitsUS},
		Feeds: map[string]contract.Mapping{}}
	for _, key := range settingKeys() {
		switch initial := key.Initial.(type) {
		case string:
			*key.Place(settings).(*string) = initial
		case float64:
			*key.Place(settings).(*float64) = initial
		case int:
			*key.Place(settings).(*int) = initial
		}
	}
	return settings
}

// RunColumns names the columns of the table run, in its order.
func RunColumns() []string {
	var columns []string
	for _, key := range settingKeys() {
		if key.Name != nameKey {
			columns = append(columns, key.Name)
		}
	}
	return columns
}

// RunValues gives the row of the table run: string or float64, in the order of RunColumns.
func (s *Settings) RunValues() []any {
	var values []any
	for _, key := range settingKeys() {
		if key.Name == nameKey {
			continue
		}
		switch place := key.Place(s).(type) {
		case *string:
			values = append(values, *place)
		case *float64:
			values = append(values, *place)
		case *int:
			values = append(values, float64(*place))
		}
	}
	return values
}
