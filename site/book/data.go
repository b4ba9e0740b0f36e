package book

import (
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// Data is everything that the pages show. The same Data gives the same bytes: Build reads no clock and no other input. Table tags name the
// night's tables that lists are read from, column tags the columns of the table in each type's comment. A nil pointer is a missing value; a
// missing text is "", a missing boolean false. The order of the slices does not matter.
type Data struct {
	District   string     // the district's name
	TimeZone   string     // IANA name; every time on the pages is shown in it
	AsOf       *time.Time // latest instant among the accepted rows; nil when there are none
	CrewPages  string     // CrewPagesAll, CrewPagesOwn or CrewPagesNone; anything else is CrewPagesNone
	CrewLabels bool       // show the crews' labels, not only their ids
	RawLines   bool       // show rows set aside as they were delivered
	Downloads  []string   // file names that the caller puts into data/, such as storms.csv
	Queries    []Query    // published under queries/
	Exports    []Export   // described on the methods page
	Settings   []Setting  // shown on the methods page

	Compare, Beside string               // the classes of the comparison; acetate and chloride where they are missing
	MaterialClasses []rows.MaterialClass `table:"material_classes"`

	CrewAddresses  map[string]string // with CrewPagesOwn: each crew's page below public/, by crew_id
	CrewFileLabels map[string]string // what stands for a crew in data/, by crew_id; no rows of a crew that is not in it

	Storms        []rows.Storm        `table:"storms"`
	StormRoutes   []rows.StormRoute   `table:"storm_routes"`
	OutsideStorms []rows.OutsideStorm `table:"outside_storms"`
	CrewStorms    []rows.CrewStorm    `table:"crew_storms"`
	Coverage      []rows.CoverageSpan `table:"coverage_spans"`
	Tallies       []rows.Tally        `table:"tallies"`
	SeasonDates   []rows.SeasonDate   `table:"season_dates"`
	StormPasses   []rows.StormPass    `table:"storm_passes"`
	Observations  []rows.Observation  `table:"observations"`
	Findings      []rows.FindingRow   `table:"findings"`
	Gaps          []rows.Gap          `table:"gaps"`
	FeedEnds      []rows.FeedEnd      `table:"feed_ends"`
	Flurries      []rows.Flurry       `table:"flurries"`

	PresentWx       []rows.PresentWx      `table:"present_wx_codes"`
	WeatherEvents   []rows.WeatherEvent   `table:"weather_events"`
	WeatherDoubts   []rows.WeatherDoubt   `table:"weather_doubts"`
	StormSeverity   []rows.StormSeverity  `table:"storm_severity"`
	SeverityClasses []rows.SeverityClass  `table:"severity_classes"`
	SeasonSeverity  []rows.SeasonSeverity `table:"season_severity"`
	StormCounts     []rows.StormCount     `table:"storm_counts_by_gap"`
	FrostSums       []rows.FrostSum       `table:"frost_sums"`
	CrewFreezing    []rows.CrewFreezing   `table:"crew_freezing"`
	OutsideReasons  []rows.OutsideReason  `table:"outside_reasons"`

	Learning          []rows.Learning         `table:"learning"`
	LearningCurves    []rows.LearningCurve    `table:"learning_curves"`
	LearningResiduals []rows.LearningResidual `table:"learning_residuals"`
	LearningOrders    []rows.LearningOrder    `table:"learning_orders"`
	BesideSalt        []rows.BesideSalt       `table:"beside_salt"`
	Claims            []rows.ClaimRow         `table:"claims"`
	Plans             []rows.Plan             `table:"plans"`
	RouteSwitches     []rows.RouteSwitch      `table:"route_switches"`
	LearningFits      []rows.LearningFit      `table:"learning_fits"`
	LearningLeftOut   []rows.LearningLeftOut  `table:"learning_left_out"`
	Comparison        []rows.Comparison       `table:"comparison"`
	StormReasons      []rows.StormReason      `table:"storm_reasons"`
	UsedRates         []rows.UsedRate         `table:"used_rates"`
	CostSums          []rows.CostSum          `table:"cost_sums"`
	WholeSeasons      []rows.WholeSeason      `table:"whole_seasons"`
	SeasonCosts       []rows.SeasonCost       `table:"season_costs"`
	DamageAssumptions []rows.DamageAssumption `table:"damage_assumptions"`
	BreakEven         []rows.BreakEven        `table:"break_even"`
	WatershedStorms   []rows.WatershedStorm   `table:"watershed_storms"`
	WatershedSeasons  []rows.WatershedSeason  `table:"watershed_seasons"`
	TimingTalk        []rows.TimingTalk       `table:"timing_talk"`

	Units                string                     // which units the pages show: Metric, else US; every number of Data is in US units
	PoundsBasis          string                     // which pounds storm and route pages lead with: rows.BasisWeighed, else as reported
	Reconciliation       []rows.Reconciliation      `table:"reconciliation"`
	StormRoutesCorrected []rows.StormRouteCorrected `table:"storm_routes_corrected"`
	LearningBases        []rows.LearningBasis       `table:"learning_bases"`
	StockBook            []rows.StockEvent          `table:"stock_book"`
	StockOnHand          []rows.StockOnHand         `table:"stock_on_hand"`
	StockOutlook         []rows.StockOutlook        `table:"stock_outlook"`
	StockFan             []rows.StockFan            `table:"stock_fan"`
	Prices               []rows.Price               `table:"prices"`

	Intake         []rows.Intake `table:"intake"`
	Quarantine     []rows.Quarantine
	SetAside       []rows.SetAside      `table:"set_aside"`
	SetAsideTrucks []rows.SetAsideTruck `table:"set_aside_trucks"`
	UnknownColumns []rows.UnknownColumn
	PositionTrucks []rows.PositionTruck `table:"position_trucks"`
	Changes        []rows.Change        `table:"since_last_night"`
	Accepted       []rows.Acceptance    `table:"accepted_gates"`

	Zones       []rows.Zone       `table:"zones"`
	Stations    []rows.Station    `table:"stations"`
	Routes      []rows.Route      `table:"routes"`
	Bridges     []rows.Bridge     `table:"bridges"`
	Assignments []rows.Assignment `table:"assignments"`
	Crews       []rows.Crew
	Materials   []rows.Material `table:"materials"`
	Orders      []rows.Order    `table:"orders"`
}

// Query is the text of one step of the tally.
type Query struct{ Name, Text string }

// Export describes one file of data/.
type Export struct {
	Name, Title, Description string
	Columns                  []ExportColumn
}

// ExportColumn describes one column of an export.
type ExportColumn struct{ Name, Type, Unit, Description string }

// Setting is one setting in force, as district.toml writes it.
type Setting struct{ Name, Value string }

// filesOfQueries finds each query's file by the table that it makes.
func filesOfQueries(queries []Query) map[string]string {
	files := map[string]string{}
	for _, q := range queries {
		_, name, _ := strings.Cut(q.Name, "_")
		files[strings.TrimSuffix(name, ".sql")] = q.Name
	}
	return files
}
