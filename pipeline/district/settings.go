// Package district is what a district says of itself: district.toml, the tables below reference/, and the addresses of its crews.
//
// In: the files of a district folder. Out: checked settings and tables, or all faults of a file at once, each with line and remedy; and
// the same as tables of the ledger.
package district

import (
	_ "embed"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // the clock changes must not depend on the machine

	"github.com/BurntSushi/toml"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/rows"
)

// Publish holds what may leave the district's own machine.
type Publish struct {
	CrewPages  string `toml:"crew_pages"`  // who is led to a crew's page: rows.CrewPagesAll, rows.CrewPagesOwn or rows.CrewPagesNone
	CrewLabels bool   `toml:"crew_labels"` // whether pages that name a crew show its label too
	RawLines   bool   `toml:"raw_lines"`   // whether rows set aside are published as they were delivered
	Units      string `toml:"units"`       // the units of the pages: UnitsUS or UnitsMetric
}

// FeedLimit is after how many hours behind the latest delivery a feed is stale, in place of stale_h.
type FeedLimit struct {
	Feed   string  `db:"feed"`
	StaleH float64 `db:"stale_h"`
}

// Notify is the program, with its arguments, that a failed night runs with its summary on standard input; none when
// Command is empty. No shell reads it.
type Notify struct {
	Command []string `toml:"command"`
}

// The units that pages can show; exports and settings keep the US units of their names.
const (
	UnitsUS     = "us"
	UnitsMetric = rows.Metric
)

// Settings are the contents of district.toml. The unit stands last in each name; shares, margins and tolerances are
// shares of 1. LastStormDate is MM-DD. Location is the loaded TimeZone.
type Settings struct {
	Name     string         `toml:"name"`
	TimeZone string         `toml:"time_zone"`
	Location *time.Location `toml:"-"`

	StormGapH       float64 `toml:"storm_gap_h"`
	PretreatH       float64 `toml:"pretreat_h"`
	PretreatLiquidH float64 `toml:"pretreat_liquid_h"`
	CleanupH        float64 `toml:"cleanup_h"`
	CleanupPlowH    float64 `toml:"cleanup_plow_h"`
	RoundGapMin     float64 `toml:"round_gap_min"`
	WindCautionMph  float64 `toml:"wind_caution_mph"`
	EarlyMin        float64 `toml:"early_min"`
	RegainCapH      float64 `toml:"regain_cap_h"`

	PassGapMin float64 `toml:"pass_gap_min"`
	SpreadGapS float64 `toml:"spread_gap_s"`
	MatchMin   float64 `toml:"match_min"`

	NoiseM      float64 `toml:"noise_m"`
	OffNetworkM float64 `toml:"off_network_m"`

	LearningMinLaneMi float64 `toml:"learning_min_lane_mi"`
	LearningMinRows   int     `toml:"learning_min_rows"`
	LearningMinStorms int     `toml:"learning_min_storms"`
	SeasonStorms      float64 `toml:"season_storms"`
	PlanStorms        float64 `toml:"plan_storms"`
	PlanMargin        float64 `toml:"plan_margin"`

	Compare          string  `toml:"compare"` // class of material whose rates and routes are judged
	Beside           string  `toml:"beside"`  // class that they are held against
	MixedShare       float64 `toml:"mixed_share"`
	UnmeasuredShare  float64 `toml:"unmeasured_share"`
	SameMargin       float64 `toml:"same_margin"`
	CompareMinStorms int     `toml:"compare_min_storms"`
	BareCapH         float64 `toml:"bare_cap_h"`
	ServiceMarginPct float64 `toml:"service_margin_pct"`
	NotBareMargin    float64 `toml:"not_bare_margin"`
	PoundsBasis      string  `toml:"pounds_basis"` // rows.BasisWeighed where loads allow, or rows.BasisReported

	ReconcileWeeks     int     `toml:"reconcile_weeks"`
	ReconcileTolerance float64 `toml:"reconcile_tolerance"`
	DensityMinTickets  int     `toml:"density_min_tickets"`
	CalibrationDays    int     `toml:"calibration_days"`
	OutlookDraws       int     `toml:"outlook_draws"`
	LastStormDate      string  `toml:"last_storm_date"`
	LeadDays           float64 `toml:"lead_days"`

	StaleH       float64 `toml:"stale_h"`
	StuckH       float64 `toml:"stuck_h"`
	KeepReleases int     `toml:"keep_releases"`
	KeepLogs     int     `toml:"keep_logs"`

	GateDropPct       float64 `toml:"gate_drop_pct"`
	GateQuarantinePct float64 `toml:"gate_quarantine_pct"`
	GateRowsPct       float64 `toml:"gate_rows_pct"`
	QuarantineListed  int     `toml:"quarantine_listed"`

	Publish     Publish                     `toml:"publish"`
	Notify      Notify                      `toml:"notify"`
	Feeds       map[string]contract.Mapping `toml:"-"`
	FeedLimits  []FeedLimit                 `toml:"-"`
	Budgets     []Budget                    `toml:"-"`
	DamageCosts []DamageCost                `toml:"-"`
}

// SettingsFault holds every fault of district.toml, by line; the program ends with exit code 78.
type SettingsFault struct {
	Faults []contract.LineFault
}

// Error gives one line a fault.
func (f *SettingsFault) Error() string { return contract.JoinFaults(f.Faults) }

// written is the district.toml of a new district: every key with its default beneath its meaning and, for a number, its bounds.
//
//go:embed district.toml
var written string

// settingKey is what written says of a top-level key. Low and High bound a number, both included.
type settingKey struct {
	Name, Meaning string
	Low, High     float64
}

const (
	nameKey     = "name"
	timeZoneKey = "time_zone"
	compareKey  = "compare"
	besideKey   = "beside"
)

var writtenKey = regexp.MustCompile(`(?m)^# (.+?)(?: \((\S+) to (\S+)\))?\n(\w+) = `)

// settingKeys gives every top-level key in the order of written.
var settingKeys = sync.OnceValue(func() (keys []settingKey) {
	top, _, _ := strings.Cut(written, "\n[")
	for _, parts := range writtenKey.FindAllStringSubmatch(top, -1) {
		low, _ := strconv.ParseFloat(parts[2], 64) // texts have no bounds
		high, _ := strconv.ParseFloat(parts[3], 64)
		keys = append(keys, settingKey{parts[4], parts[1], low, high})
	}
	return keys
})

// fieldsOf gives the fields of a struct by their names in district.toml.
func fieldsOf(place any) map[string]reflect.Value {
	fields, value := map[string]reflect.Value{}, reflect.ValueOf(place).Elem()
	for field, place := range value.Fields() {
		if name := field.Tag.Get("toml"); name != "-" {
			fields[name] = place
		}
	}
	return fields
}

// DefaultSettings gives every key its default; TimeZone stays empty.
func DefaultSettings() *Settings {
	settings := &Settings{Feeds: map[string]contract.Mapping{}}
	if _, err := toml.Decode(written, settings); err != nil {
		panic(err) // a file of this package
	}
	settings.TimeZone = ""
	return settings
}

// DefaultDistrictTOML is the district.toml of a new district of that name.
func DefaultDistrictTOML(name string) string {
	return strings.Replace(written, nameKey+` = "District"`, nameKey+" = "+tomlText(name), 1)
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
	fields := fieldsOf(s)
	for _, name := range RunColumns() {
		value := fields[name]
		if value.CanInt() {
			value = value.Convert(reflect.TypeFor[float64]())
		}
		values = append(values, value.Interface())
	}
	return values
}
