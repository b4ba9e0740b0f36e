package pipeline

import (
	"context"

	"lanetally/pipeline/rows"
)

// fillWeatherFindings makes the table weather_findings: weather_doubts in words, in US units.
func fillWeatherFindings(ctx context.Context, l *Ledger, _ *Settings) error {
	var doubts []rows.WeatherDoubt
	if err := fillFrom(ctx, l, "weather_doubts", &doubts)(); err != nil {
		return err
	}
	return replaceTable(ctx, l, "weather_findings", rows.WeatherFindings(doubts, rows.US{}))
}
