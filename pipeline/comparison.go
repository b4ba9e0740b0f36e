package pipeline

import (
	"context"

	"lanetally/site"
)

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
		adjustToBaseline(&row, baselineOf(routeStorms, season, s), s.CompareMinStorms)
		rows = append(rows, row)
	}
	return replaceTable(ctx, l, "comparison_seasons", rows)
}
