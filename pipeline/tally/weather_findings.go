package tally

import (
	"context"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// FillWeatherFindings makes the table weather_findings: weather_doubts in words, in US units.
func FillWeatherFindings(ctx context.Context, l *ledger.Ledger, _ *district.Settings) error {
	doubts, err := ledger.ReadTable[rows.WeatherDoubt](ctx, l, "select * from weather_doubts")
	if err != nil {
		return err
	}
	return ledger.ReplaceTable(ctx, l, "weather_findings", rows.WeatherFindings(doubts, rows.US{}))
}
