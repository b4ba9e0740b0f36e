package tally

import (
	"context"
	"math"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/metar"
)

// reportIncrement is a row of table report_increments: what a raw report in force adds to the water fallen. PrecipIn and PrecipIsTrace are
// nil where the report gives no amount; IsLower marks a routine report that gave less than a special of its hour.
type reportIncrement struct {
	StationID     string    `db:"station_id"`
	ObservedAt    time.Time `db:"observed_at"`
	PrecipIn      *float64  `db:"precip_in"`
	PrecipIsTrace *bool     `db:"precip_is_trace"`
	IsLower       bool      `db:"is_lower"`
}

// runningReport is the part of a raw report that its increment depends on.
type runningReport struct {
	StationID    string    `db:"station_id"`
	ObservedAt   time.Time `db:"observed_at"`
	Kind         string    `db:"report_kind"`
	HourPrecipIn *float64  `db:"hour_precip_in"`
	HourIsTrace  bool      `db:"hour_is_trace"`
}

// FillReportIncrements makes the table report_increments from the raw reports in force, station by station in time order.
func FillReportIncrements(ctx context.Context, l *ledger.Ledger, _ *district.Settings) error {
	rows, err := ledger.ReadTable[runningReport](ctx, l, `select station_id, observed_at, report_kind, hour_precip_in, hour_is_trace
		from observations_told where is_in_force and report_kind is not null order by station_id, observed_at`)
	if err != nil {
		return err
	}
	added := make([]reportIncrement, 0, len(rows))
	for first := 0; first < len(rows); {
		next := first + 1
		for next < len(rows) && rows[next].StationID == rows[first].StationID {
			next++
		}
		added = appendIncrements(added, rows[first:next])
		first = next
	}
	return ledger.ReplaceTable(ctx, l, "report_increments", added)
}

// appendIncrements adds the rows of one station, in time order.
func appendIncrements(rows []reportIncrement, station []runningReport) []reportIncrement {
	reports := make([]metar.Report, len(station))
	for i, row := range station {
		reports[i] = metar.Report{Kind: metar.Routine, ObservedAt: row.ObservedAt}
		if row.Kind == "SPECI" {
			reports[i].Kind = metar.Special
		}
		if row.HourPrecipIn != nil {
			reports[i].HourPrecip = metar.Amount{HundredthsIn: int(math.Round(*row.HourPrecipIn * 100)), IsTrace: row.HourIsTrace,
				Known: true}
		}
	}
	for i, added := range metar.Increments(reports) {
		row := reportIncrement{StationID: station[i].StationID, ObservedAt: station[i].ObservedAt, IsLower: added.IsLower}
		if added.Precip.Known {
			water := added.Precip.In()
			row.PrecipIn, row.PrecipIsTrace = &water, &added.Precip.IsTrace
		}
		rows = append(rows, row)
	}
	return rows
}
