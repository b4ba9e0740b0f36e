package verdicts

import (
	"context"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// FillComparisonSeasons makes the table comparison_seasons, one row per season that has a closed storm.
func FillComparisonSeasons(ctx context.Context, l *ledger.Ledger, s *district.Settings) error {
	zones, err := ledger.ReadTable[comparedZone](ctx, l, comparedZonesQuery)
	if err != nil {
		return err
	}
	routeStorms, err := ledger.ReadTable[routeStorm](ctx, l, routeStormsQuery)
	if err != nil {
		return err
	}
	var rows []rows.SeasonComparison
	for _, season := range seasonsOf(zones) {
		row := judgeSeason(season, stormsOfSeason(zones, season), s)
		adjustToBaseline(&row, baselineOf(routeStorms, season, s), s.CompareMinStorms)
		rows = append(rows, row)
	}
	return ledger.ReplaceTable(ctx, l, "comparison_seasons", rows)
}
