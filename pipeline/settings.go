package pipeline

import (
	"errors"
	"time"
	_ "time/tzdata" // the clock changes must not depend on the machine
)

// Mapping says how the headers of a district's own export become the columns of a feed.
type Mapping struct {
	Columns    map[string]ColumnSource
	TimeFormat string
}

// ColumnSource is where one column of a feed comes from: the header From, or the fixed text Value. Unit is the unit of
// the delivered numbers where it is not the contract's. Values replaces whole cells before they are read.
type ColumnSource struct {
	From   string
	Value  *string
	Unit   string
	Values map[string]string
}

// Publish holds what may leave the district's own machine.
type Publish struct {
	CrewLabels bool
}

// Settings are the contents of district.toml.
type Settings struct {
	Name                                                                                                   string
	TimeZone                                                                                               string
	Location                                                                                               *time.Location
	StormGapH, PretreatH, PretreatLiquidH, CleanupH, CleanupPlowH, RoundGapMin, WindCautionMph, RegainCapH float64
	LearningMinLaneMi, ServiceMarginPct, MixedShare, UnmeasuredShare, SameMargin                           float64
	RegainMarginH, ReconcileTolerance, LeadDays, StaleH, StuckH                                            float64
	LearningMinRows, LearningMinStorms, CompareMinStorms, ReconcileWeeks, DensityMinTickets                int
	CalibrationDays, OutlookDraws, KeepReleases                                                            int
	LastStormDate                                                                                          string
	Publish                                                                                                Publish
	Feeds                                                                                                  map[string]Mapping
}

// SettingsFault holds every fault of district.toml; the program ends with exit code 78.
type SettingsFault struct {
	Faults []LineFault
}

// Error gives one line a fault.
func (f *SettingsFault) Error() string { return joinFaults(f.Faults) }

// ReadSettings reads and checks district.toml. All faults come at once, as a *SettingsFault.
func ReadSettings(path string) (*Settings, error) {
	return nil, errors.New("settings are not read yet")
}

// DefaultDistrictTOML is the district.toml of a new district.
func DefaultDistrictTOML(name string) string { return "" }

// RunColumns names the columns of the table run, in its order.
func RunColumns() []string { return nil }

// RunValues gives the row of the table run: string or float64, in the order of RunColumns.
func (s *Settings) RunValues() []any { return nil }
