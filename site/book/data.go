package book

import (
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// Data is everything that the pages show. The same Data gives the same bytes: Build reads no clock and no other input.
// Column tags name the columns of the table in each type's comment. A nil pointer is a missing value; a missing text
// is "", a missing boolean false. The order of the slices does not matter.
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

	Compare, Beside string // the classes of the comparison; acetate and chloride where they are missing
	MaterialClasses []rows.MaterialClass

	CrewAddresses  map[string]string // with CrewPagesOwn: each crew's page below public/, by crew_id
	CrewFileLabels map[string]string // what stands for a crew in data/, by crew_id; no rows of a crew that is not in it

	Storms        []rows.Storm
	StormRoutes   []rows.StormRoute
	OutsideStorms []rows.OutsideStorm
	CrewStorms    []rows.CrewStorm
	Coverage      []rows.CoverageSpan
	Tallies       []rows.Tally
	SeasonDates   []rows.SeasonDate
	StormPasses   []rows.StormPass
	Observations  []rows.Observation
	Findings      []rows.FindingRow
	Gaps          []rows.Gap
	FeedEnds      []rows.FeedEnd
	Flurries      []rows.Flurry

	PresentWx       []rows.PresentWx
	WeatherEvents   []rows.WeatherEvent
	WeatherDoubts   []rows.WeatherDoubt
	StormSeverity   []rows.StormSeverity
	SeverityClasses []rows.SeverityClass
	SeasonSeverity  []rows.SeasonSeverity
	StormCounts     []rows.StormCount
	FrostSums       []rows.FrostSum
	CrewFreezing    []rows.CrewFreezing
	OutsideReasons  []rows.OutsideReason

	Learning          []rows.Learning
	LearningCurves    []rows.LearningCurve
	LearningResiduals []rows.LearningResidual
	LearningOrders    []rows.LearningOrder
	BesideSalt        []rows.BesideSalt
	Claims            []rows.ClaimRow
	Plans             []rows.Plan
	RouteSwitches     []rows.RouteSwitch
	LearningFits      []rows.LearningFit
	LearningLeftOut   []rows.LearningLeftOut
	Comparison        []rows.Comparison
	StormReasons      []rows.StormReason
	UsedRates         []rows.UsedRate
	CostSums          []rows.CostSum
	WholeSeasons      []rows.WholeSeason
	SeasonCosts       []rows.SeasonCost
	DamageAssumptions []rows.DamageAssumption
	BreakEven         []rows.BreakEven
	WatershedStorms   []rows.WatershedStorm
	WatershedSeasons  []rows.WatershedSeason
	TimingTalk        []rows.TimingTalk

	Units                string // which units the pages show: Metric, else US; every number of Data is in US units
	PoundsBasis          string // which pounds storm and route pages lead with: rows.BasisWeighed, else as reported
	Reconciliation       []rows.Reconciliation
	StormRoutesCorrected []rows.StormRouteCorrected
	LearningBases        []rows.LearningBasis
	StockBook            []rows.StockEvent
	StockOnHand          []rows.StockOnHand
	StockOutlook         []rows.StockOutlook
	StockFan             []rows.StockFan
	Prices               []rows.Price

	Intake         []rows.Intake
	Quarantine     []rows.Quarantine
	SetAside       []rows.SetAside
	SetAsideTrucks []rows.SetAsideTruck
	UnknownColumns []rows.UnknownColumn
	PositionTrucks []rows.PositionTruck
	Changes        []rows.Change
	Accepted       []rows.Acceptance

	Zones       []rows.Zone
	Stations    []rows.Station
	Routes      []rows.Route
	Bridges     []rows.Bridge
	Assignments []rows.Assignment
	Crews       []rows.Crew
	Materials   []rows.Material
	Orders      []rows.Order
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
