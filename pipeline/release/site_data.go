package release

import (
	"context"
	"fmt"
	"io/fs"
	"slices"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/queries"
	"lanetally/site/book"
)

// ReadSiteData reads everything that the pages show from the night's tables.
func ReadSiteData(ctx context.Context, l *ledger.Ledger, s *district.Settings, public *publicView) (*book.Data, error) {
	data := &book.Data{District: s.Name, TimeZone: s.TimeZone, PoundsBasis: s.PoundsBasis, Units: s.Publish.Units,
		Settings: siteSettings(s), Compare: s.Compare, Beside: s.Beside}
	asOf, err := ledger.ReadAsOf(ctx, l)
	if err != nil {
		return nil, err
	}
	data.AsOf = asOf
	for _, fill := range slices.Concat(tallyFills(ctx, l, data), weatherFills(ctx, l, data), verdictFills(ctx, l, data),
		accountFills(ctx, l, data), referenceFills(ctx, l, data)) {
		if err := fill(); err != nil {
			return nil, err
		}
	}
	if data.UnknownColumns, err = readUnknownColumns(ctx, l); err != nil {
		return nil, err
	}
	if err := public.fillSiteData(ctx, l, data); err != nil {
		return nil, err
	}
	if err := describeExports(data, public); err != nil {
		return nil, err
	}
	return data, addQueryTexts(data)
}

// tallyFills reads what was delivered and what was spread.
func tallyFills(ctx context.Context, l *ledger.Ledger, data *book.Data) []func() error {
	return []func() error{
		ledger.FillFrom(ctx, l, "storms", &data.Storms),
		ledger.FillFrom(ctx, l, "storm_routes", &data.StormRoutes),
		ledger.FillFrom(ctx, l, "outside_storms", &data.OutsideStorms),
		ledger.FillFrom(ctx, l, "crew_storms", &data.CrewStorms),
		ledger.FillFrom(ctx, l, "coverage_spans", &data.Coverage),
		ledger.FillFrom(ctx, l, "season_dates", &data.SeasonDates),
		ledger.FillFrom(ctx, l, "tallies", &data.Tallies),
		ledger.FillFrom(ctx, l, "storm_passes", &data.StormPasses),
		ledger.FillFrom(ctx, l, "findings", &data.Findings),
		ledger.FillFrom(ctx, l, "gaps", &data.Gaps),
		ledger.FillFrom(ctx, l, "intake", &data.Intake),
		ledger.FillFrom(ctx, l, "feed_ends", &data.FeedEnds),
		ledger.FillFrom(ctx, l, "set_aside", &data.SetAside),
		ledger.FillFrom(ctx, l, "set_aside_trucks", &data.SetAsideTrucks),
		ledger.FillFrom(ctx, l, "crew_freezing", &data.CrewFreezing),
		ledger.FillFrom(ctx, l, "since_last_night", &data.Changes),
		ledger.FillFrom(ctx, l, "accepted_gates", &data.Accepted),
	}
}

// weatherFills reads the weather.
func weatherFills(ctx context.Context, l *ledger.Ledger, data *book.Data) []func() error {
	return []func() error{
		ledger.FillFrom(ctx, l, "observations", &data.Observations),
		ledger.FillFrom(ctx, l, "flurries", &data.Flurries),
		ledger.FillFrom(ctx, l, "present_wx_codes", &data.PresentWx),
		ledger.FillFrom(ctx, l, "weather_events", &data.WeatherEvents),
		ledger.FillFrom(ctx, l, "weather_doubts", &data.WeatherDoubts),
		ledger.FillFrom(ctx, l, "storm_severity", &data.StormSeverity),
		ledger.FillFrom(ctx, l, "severity_classes", &data.SeverityClasses),
		ledger.FillFrom(ctx, l, "season_severity", &data.SeasonSeverity),
		ledger.FillFrom(ctx, l, "storm_counts_by_gap", &data.StormCounts),
		ledger.FillFrom(ctx, l, "frost_sums", &data.FrostSums),
		ledger.FillFrom(ctx, l, "outside_reasons", &data.OutsideReasons),
	}
}

// verdictFills reads what the fits and the comparison say.
func verdictFills(ctx context.Context, l *ledger.Ledger, data *book.Data) []func() error {
	return []func() error{
		ledger.FillFrom(ctx, l, "learning", &data.Learning),
		ledger.FillFrom(ctx, l, "learning_curves", &data.LearningCurves),
		ledger.FillFrom(ctx, l, "learning_residuals", &data.LearningResiduals),
		ledger.FillFrom(ctx, l, "learning_orders", &data.LearningOrders),
		ledger.FillFrom(ctx, l, "beside_salt", &data.BesideSalt),
		ledger.FillFrom(ctx, l, "claims", &data.Claims),
		ledger.FillFrom(ctx, l, "plans", &data.Plans),
		ledger.FillFrom(ctx, l, "route_switches", &data.RouteSwitches),
		ledger.FillFrom(ctx, l, "learning_fits", &data.LearningFits),
		ledger.FillFrom(ctx, l, "learning_left_out", &data.LearningLeftOut),
		ledger.FillFrom(ctx, l, "comparison", &data.Comparison),
		ledger.FillFrom(ctx, l, "storm_reasons", &data.StormReasons),
		ledger.FillFrom(ctx, l, "used_rates", &data.UsedRates),
		ledger.FillFrom(ctx, l, "learning_bases", &data.LearningBases),
	}
}

// accountFills reads positions, weighed loads, stock, money and water.
func accountFills(ctx context.Context, l *ledger.Ledger, data *book.Data) []func() error {
	return []func() error{
		ledger.FillFrom(ctx, l, "position_trucks", &data.PositionTrucks),
		ledger.FillFrom(ctx, l, "cost_sums", &data.CostSums),
		ledger.FillFrom(ctx, l, "whole_seasons", &data.WholeSeasons),
		ledger.FillFrom(ctx, l, "season_costs", &data.SeasonCosts),
		ledger.FillFrom(ctx, l, "damage_assumptions", &data.DamageAssumptions),
		ledger.FillFrom(ctx, l, "break_even", &data.BreakEven),
		ledger.FillFrom(ctx, l, "watershed_storms", &data.WatershedStorms),
		ledger.FillFrom(ctx, l, "watershed_seasons", &data.WatershedSeasons),
		ledger.FillFrom(ctx, l, "timing_talk", &data.TimingTalk),
		ledger.FillFrom(ctx, l, "reconciliation", &data.Reconciliation),
		ledger.FillFrom(ctx, l, "storm_routes_corrected", &data.StormRoutesCorrected),
		ledger.FillFrom(ctx, l, "stock_book", &data.StockBook),
		ledger.FillFrom(ctx, l, "stock_on_hand", &data.StockOnHand),
		ledger.FillFrom(ctx, l, "stock_outlook", &data.StockOutlook),
		ledger.FillFrom(ctx, l, "stock_fan", &data.StockFan),
	}
}

// referenceFills reads the reference tables.
func referenceFills(ctx context.Context, l *ledger.Ledger, data *book.Data) []func() error {
	return []func() error{
		ledger.FillFrom(ctx, l, "prices", &data.Prices),
		ledger.FillFrom(ctx, l, "zones", &data.Zones),
		ledger.FillFrom(ctx, l, "stations", &data.Stations),
		ledger.FillFrom(ctx, l, "routes", &data.Routes),
		ledger.FillFrom(ctx, l, "bridges", &data.Bridges),
		ledger.FillFrom(ctx, l, "assignments", &data.Assignments),
		ledger.FillFrom(ctx, l, "materials", &data.Materials),
		ledger.FillFrom(ctx, l, "material_classes", &data.MaterialClasses),
		ledger.FillFrom(ctx, l, "orders", &data.Orders),
	}
}

// readUnknownColumns lists the columns of deliveries in force that nothing reads.
func readUnknownColumns(ctx context.Context, l *ledger.Ledger) ([]rows.UnknownColumn, error) {
	return ledger.ReadTable[rows.UnknownColumn](ctx, l, `
		select delivery_files.feed, file, trim(unnest(string_split(unknown_columns, ','))) as "column"
		from delivery_files inner join contents using (feed, sha256)
		where unknown_columns <> ''
		order by all`)
}

// siteSettings gives the settings in force under their names in district.toml.
func siteSettings(s *district.Settings) []book.Setting {
	var settings []book.Setting
	values := s.RunValues()
	for i, name := range district.RunColumns() {
		settings = append(settings, book.Setting{Name: name, Value: fmt.Sprint(values[i])})
	}
	return settings
}

// describeExports adds each published export's description and the names of its files.
func describeExports(data *book.Data, public *publicView) error {
	for _, name := range contract.ExportNames {
		if !public.isPublished(name) {
			continue
		}
		contract, err := contract.LoadContract("exports", name)
		if err != nil {
			return err
		}
		export := book.Export{Name: name, Title: contract.Title, Description: contract.Description}
		for _, field := range contract.Fields {
			export.Columns = append(export.Columns,
				book.ExportColumn{Name: field.Name, Type: field.Type, Unit: field.Unit, Description: field.Description})
		}
		data.Exports = append(data.Exports, export)
		data.Downloads = append(data.Downloads, contract.ExportFiles()...)
	}
	return nil
}

// addQueryTexts adds the text of every query.
func addQueryTexts(data *book.Data) error {
	names, err := fs.Glob(queries.FS, "*.sql")
	if err != nil {
		return err
	}
	slices.Sort(names)
	for _, name := range names {
		text, err := queries.FS.ReadFile(name)
		if err != nil {
			return err
		}
		data.Queries = append(data.Queries, book.Query{Name: name, Text: string(text)})
	}
	return nil
}
