package pipeline

import (
	"context"
	"fmt"

	"lanetally/site"
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
	var rows []site.SeasonComparison
	for _, season := range seasonsOf(zones) {
		row := judgeSeason(season, stormsOfSeason(zones, season), s)
		adjustToBaseline(&row, baselineOf(routeStorms, season, s.CompareMinStorms), s.CompareMinStorms)
		rows = append(rows, row)
	}
	return replaceTable(ctx, l, "comparison_seasons", rows)
}
