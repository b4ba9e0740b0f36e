package pipeline

import (
	"context"
	"fmt"
	"reflect"
	"strings"
)

// tallyComparison compares acetate routes with chloride routes: tables comparison_routes (a route in a storm, and why it is left out),
// comparison_classes, comparison_zones, comparison_seasons, comparison (the export), storm_reasons (why a storm used more or less than
// usual) and used_rates (what was used, by pavement temperature and kind of storm). It reads the tally and, where there is one, the
// table learning_residuals. A value that the data cannot give is NULL, never NaN and never 0.
func tallyComparison(ctx context.Context, l *Ledger, s *Settings) error {
	if err := l.runQueries(ctx, "85", "87"); err != nil {
		return err
	}
	if err := fillComparisonSeasons(ctx, l, s); err != nil {
		return fmt.Errorf("comparison_seasons: %w", err)
	}
	if err := ensureLearningResiduals(ctx, l); err != nil {
		return fmt.Errorf("learning_residuals: %w", err)
	}
	return l.runQueries(ctx, "88", "89")
}

// SeasonComparison is what a season's storms say together; each field is the export's column. Intervals are 90 %. nil is missing.
type SeasonComparison struct {
	Season              string   `db:"season"`
	Storms              int64    `db:"storms"`
	TotalRatio          *float64 `db:"total_ratio"`
	Low90               *float64 `db:"low90"`
	High90              *float64 `db:"high90"`
	Verdict             string   `db:"verdict"`
	MarginShownPct      *float64 `db:"margin_shown_pct"`
	ApplicationsLow90   *float64 `db:"applications_low90"`
	ApplicationsHigh90  *float64 `db:"applications_high90"`
	ApplicationsVerdict string   `db:"applications_verdict"`
	TypicalRatio        *float64 `db:"typical_ratio"`
	TypicalLow90        *float64 `db:"typical_low90"`
	TypicalHigh90       *float64 `db:"typical_high90"`
	ZeroAcetate         int64    `db:"zero_acetate"`
	ZeroChloride        int64    `db:"zero_chloride"`
	EndRatio            *float64 `db:"end_ratio"`
	EndLow90            *float64 `db:"end_low90"`
	EndHigh90           *float64 `db:"end_high90"`
	RegainDiffH         *float64 `db:"regain_diff_h"`
	RegainLow90H        *float64 `db:"regain_low90_h"`
	RegainHigh90H       *float64 `db:"regain_high90_h"`
	RegainVerdict       string   `db:"regain_verdict"`
	AdjustedRatio       *float64 `db:"adjusted_ratio"`
	AdjustedLow90       *float64 `db:"adjusted_low90"`
	AdjustedHigh90      *float64 `db:"adjusted_high90"`
	AdjustedRoutes      int64    `db:"adjusted_routes"`
	AdjustedSeasons     int64    `db:"adjusted_seasons"`
}

// fillComparisonSeasons makes the table comparison_seasons, one row per season that has a closed storm.
func fillComparisonSeasons(ctx context.Context, l *Ledger, s *Settings) error {
	zones, err := readTable[comparedZone](ctx, l, comparedZonesQuery)
	if err != nil {
		return err
	}
	routeStorms, err := readTable[routeStorm](ctx, l, routeStormsQuery)
	if err != nil {
		return err
	}
	if err := l.Exec(ctx, comparisonSeasonsDDL()); err != nil {
		return err
	}
	columns := tableColumns[SeasonComparison]()
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(columns)), ", ")
	insert := "insert into comparison_seasons (" + strings.Join(columns, ", ") + ") values (" + marks + ")"
	for _, season := range seasonsOf(zones) {
		row := judgeSeason(season, stormsOfSeason(zones, season), s)
		adjustToBaseline(&row, baselineOf(routeStorms, season, s.CompareMinStorms), s.CompareMinStorms)
		if err := l.Exec(ctx, insert, columnValues(row)...); err != nil {
			return err
		}
	}
	return nil
}

// comparisonSeasonsDDL is the DDL of comparison_seasons, from the fields of SeasonComparison.
func comparisonSeasonsDDL() string {
	t := reflect.TypeFor[SeasonComparison]()
	columns := make([]string, t.NumField())
	for i := range columns {
		kind := map[reflect.Kind]string{reflect.String: "varchar not null", reflect.Int64: "bigint not null", reflect.Pointer: "double"}
		columns[i] = t.Field(i).Tag.Get("db") + " " + kind[t.Field(i).Type.Kind()]
	}
	return "create or replace table comparison_seasons (" + strings.Join(columns, ", ") + ")"
}

// columnValues gives the fields of a row as arguments of an insert, nil for a missing value.
func columnValues(row SeasonComparison) []any {
	fields := reflect.ValueOf(row)
	values := make([]any, fields.NumField())
	for i := range values {
		field := fields.Field(i)
		switch {
		case field.Kind() != reflect.Pointer:
			values[i] = field.Interface()
		case !field.IsNil():
			values[i] = field.Elem().Interface()
		}
	}
	return values
}
