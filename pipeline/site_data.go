package pipeline

import (
	"context"
	"fmt"
	"io/fs"
	"reflect"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/queries"
	"lanetally/site"
)

// readSiteData reads everything that the pages show from the night's tables.
func readSiteData(ctx context.Context, l *Ledger, s *Settings, public *publicView) (*site.Data, error) {
	data := &site.Data{District: s.Name, TimeZone: s.TimeZone, LeadWith: s.Publish.LeadWith, Units: s.Publish.Units, Settings: siteSettings(s), Compare: s.Compare, Beside: s.Beside}
	asOf, err := readAsOf(ctx, l)
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
	if err := public.fillSiteData(ctx, l, data); err != nil {
		return nil, err
	}
	if data.UnknownColumns, err = readUnknownColumns(ctx, l); err != nil {
		return nil, err
	}
	if err := describeExports(data, public); err != nil {
		return nil, err
	}
	return data, addQueryTexts(data)
}

// tallyFills reads what was delivered and what was spread.
func tallyFills(ctx context.Context, l *Ledger, data *site.Data) []func() error {
	return []func() error{
		fillFrom(ctx, l, "storms", &data.Storms),
		fillFrom(ctx, l, "storm_routes", &data.StormRoutes),
		fillFrom(ctx, l, "outside_storms", &data.OutsideStorms),
		fillFrom(ctx, l, "crew_storms", &data.CrewStorms),
		fillFrom(ctx, l, "coverage_spans", &data.Coverage),
		fillFrom(ctx, l, "season_dates", &data.SeasonDates),
		fillFrom(ctx, l, "tallies", &data.Tallies),
		fillFrom(ctx, l, "storm_passes", &data.StormPasses),
		fillFrom(ctx, l, "findings", &data.Findings),
		fillFrom(ctx, l, "intake", &data.Intake),
		fillFrom(ctx, l, "set_aside", &data.SetAside),
		fillFrom(ctx, l, "set_aside_trucks", &data.SetAsideTrucks),
		fillFrom(ctx, l, "crew_freezing", &data.CrewFreezing),
		fillFrom(ctx, l, "since_last_night", &data.Changes),
		fillFrom(ctx, l, "accepted_gates", &data.Accepted),
	}
}

// weatherFills reads the weather.
func weatherFills(ctx context.Context, l *Ledger, data *site.Data) []func() error {
	return []func() error{
		fillFrom(ctx, l, "observations", &data.Observations),
		fillFrom(ctx, l, "flurries", &data.Flurries),
		fillFrom(ctx, l, "present_wx_codes", &data.PresentWx),
		fillFrom(ctx, l, "weather_events", &data.WeatherEvents),
		fillFrom(ctx, l, "weather_doubts", &data.WeatherDoubts),
		fillFrom(ctx, l, "storm_severity", &data.StormSeverity),
		fillFrom(ctx, l, "severity_classes", &data.SeverityClasses),
		fillFrom(ctx, l, "season_severity", &data.SeasonSeverity),
		fillFrom(ctx, l, "storm_counts_by_gap", &data.StormCounts),
		fillFrom(ctx, l, "frost_sums", &data.FrostSums),
		fillFrom(ctx, l, "outside_reasons", &data.OutsideReasons),
	}
}

// verdictFills reads what the fits and the comparison say.
func verdictFills(ctx context.Context, l *Ledger, data *site.Data) []func() error {
	return []func() error{
		fillFrom(ctx, l, "learning", &data.Learning),
		fillFrom(ctx, l, "learning_curves", &data.LearningCurves),
		fillFrom(ctx, l, "learning_residuals", &data.LearningResiduals),
		fillFrom(ctx, l, "learning_orders", &data.LearningOrders),
		fillFrom(ctx, l, "learning_service", &data.LearningService),
		fillFrom(ctx, l, "learning_fits", &data.LearningFits),
		fillFrom(ctx, l, "learning_left_out", &data.LearningLeftOut),
		fillFrom(ctx, l, "comparison", &data.Comparison),
		fillFrom(ctx, l, "storm_reasons", &data.StormReasons),
		fillFrom(ctx, l, "used_rates", &data.UsedRates),
		fillFrom(ctx, l, "learning_bases", &data.LearningBases),
	}
}

// accountFills reads positions, weighed loads, stock, money and water.
func accountFills(ctx context.Context, l *Ledger, data *site.Data) []func() error {
	return []func() error{
		fillFrom(ctx, l, "position_trucks", &data.PositionTrucks),
		fillFrom(ctx, l, "cost_sums", &data.CostSums),
		fillFrom(ctx, l, "whole_seasons", &data.WholeSeasons),
		fillFrom(ctx, l, "season_costs", &data.SeasonCosts),
		fillFrom(ctx, l, "damage_assumptions", &data.DamageAssumptions),
		fillFrom(ctx, l, "break_even", &data.BreakEven),
		fillFrom(ctx, l, "watershed_storms", &data.WatershedStorms),
		fillFrom(ctx, l, "watershed_seasons", &data.WatershedSeasons),
		fillFrom(ctx, l, "timing_talk", &data.TimingTalk),
		fillFrom(ctx, l, "reconciliation", &data.Reconciliation),
		fillFrom(ctx, l, "storm_routes_corrected", &data.StormRoutesCorrected),
		fillFrom(ctx, l, "stock_book", &data.StockBook),
		fillFrom(ctx, l, "stock_on_hand", &data.StockOnHand),
		fillFrom(ctx, l, "stock_outlook", &data.StockOutlook),
		fillFrom(ctx, l, "stock_fan", &data.StockFan),
	}
}

// referenceFills reads the reference tables.
func referenceFills(ctx context.Context, l *Ledger, data *site.Data) []func() error {
	return []func() error{
		fillFrom(ctx, l, "prices", &data.Prices),
		fillFrom(ctx, l, "zones", &data.Zones),
		fillFrom(ctx, l, "stations", &data.Stations),
		fillFrom(ctx, l, "routes", &data.Routes),
		fillFrom(ctx, l, "bridges", &data.Bridges),
		fillFrom(ctx, l, "assignments", &data.Assignments),
		fillFrom(ctx, l, "materials", &data.Materials),
		fillFrom(ctx, l, "material_classes", &data.MaterialClasses),
		fillFrom(ctx, l, "orders", &data.Orders),
	}
}

// findingColumns picks those columns of a table that belong to a finding: each table of findings has those that its codes have places for.
var findingColumns = "columns(lambda name: list_contains(" + textList(tableColumns[rows.Finding]()) + ", name))"

// fillFrom reads the columns that T tags from a table, and of an embedded finding those that the table has.
func fillFrom[T any](ctx context.Context, l *Ledger, table string, into *[]T) func() error {
	return func() (err error) {
		var columns []string
		for _, field := range reflect.VisibleFields(reflect.TypeFor[T]()) {
			switch tag := field.Tag.Get("db"); {
			case field.Type == reflect.TypeFor[rows.Finding]():
				columns = append(columns, findingColumns)
			case tag != "" && len(field.Index) == 1:
				columns = append(columns, quoteName(tag))
			}
		}
		*into, err = readTable[T](ctx, l, "select "+strings.Join(columns, ", ")+" from "+quoteName(table))
		return err
	}
}

// readUnknownColumns lists the columns of deliveries in force that nothing reads.
func readUnknownColumns(ctx context.Context, l *Ledger) ([]site.UnknownColumn, error) {
	return readTable[site.UnknownColumn](ctx, l, `
		select delivery_files.feed, file, trim(unnest(string_split(unknown_columns, ','))) as "column"
		from delivery_files inner join contents using (feed, sha256)
		where unknown_columns <> ''
		order by all`)
}

// siteSettings gives the settings in force under their names in district.toml.
func siteSettings(s *Settings) []site.Setting {
	var settings []site.Setting
	values := s.RunValues()
	for i, name := range RunColumns() {
		settings = append(settings, site.Setting{Name: name, Value: fmt.Sprint(values[i])})
	}
	return settings
}

// describeExports adds each published export's description and the names of its files.
func describeExports(data *site.Data, public *publicView) error {
	for _, name := range ExportNames {
		if !public.isPublished(name) {
			continue
		}
		contract, err := LoadContract("exports", name)
		if err != nil {
			return err
		}
		export := site.Export{Name: name, Title: contract.Title, Description: contract.Description}
		for _, field := range contract.Fields {
			export.Columns = append(export.Columns, site.ExportColumn{Name: field.Name, Type: field.Type, Unit: field.Unit, Description: field.Description})
		}
		data.Exports = append(data.Exports, export)
		data.Downloads = append(data.Downloads, contract.exportFiles()...)
	}
	return nil
}

// addQueryTexts adds the text of every query.
func addQueryTexts(data *site.Data) error {
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
		data.Queries = append(data.Queries, site.Query{Name: name, Text: string(text)})
	}
	return nil
}
