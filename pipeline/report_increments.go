package pipeline

import (
	"context"
	"fmt"
	"math"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/pipeline/metar"
)

// reportIncrementsDDL is the table of what each raw report in force adds to the water fallen. precip_in and precip_is_trace are empty where
// the report gives no amount; is_lower marks a routine report that gave less than a special of its hour.
const reportIncrementsDDL = `create or replace table report_increments (station_id varchar not null, observed_at timestamptz not null,
	precip_in double, precip_is_trace boolean, is_lower boolean not null)`

// runningReport is the part of a raw report that its increment depends on.
type runningReport struct {
	StationID    string    `db:"station_id"`
	ObservedAt   time.Time `db:"observed_at"`
	Kind         string    `db:"report_kind"`
	HourPrecipIn *float64  `db:"hour_precip_in"`
	HourIsTrace  bool      `db:"hour_is_trace"`
}

// fillReportIncrements makes the table report_increments from the raw reports in force, station by station in time order.
func fillReportIncrements(ctx context.Context, l *Ledger) error {
	rows, err := readTable[runningReport](ctx, l, `select station_id, observed_at, report_kind, hour_precip_in, hour_is_trace
		from observations_told where is_in_force and report_kind is not null order by station_id, observed_at`)
	if err != nil {
		return fmt.Errorf("water of the reports: %w", err)
	}
	if err := l.Exec(ctx, reportIncrementsDDL); err != nil || len(rows) == 0 {
		return err
	}
	schema := arrow.NewSchema([]arrow.Field{
		{Name: "station_id", Type: arrow.BinaryTypes.String},
		{Name: "observed_at", Type: instantType},
		{Name: "precip_in", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
		{Name: "precip_is_trace", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
		{Name: "is_lower", Type: arrow.FixedWidthTypes.Boolean},
	}, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	for first := 0; first < len(rows); {
		next := first + 1
		for next < len(rows) && rows[next].StationID == rows[first].StationID {
			next++
		}
		appendIncrements(b, rows[first:next])
		first = next
	}
	records, err := array.NewRecordReader(schema, []arrow.RecordBatch{b.NewRecordBatch()})
	if err != nil {
		return fmt.Errorf("water of the reports: %w", err)
	}
	defer records.Release()
	return l.insertRecords(ctx, "report_increments", records)
}

// appendIncrements adds the rows of one station, in time order.
func appendIncrements(b *array.RecordBuilder, station []runningReport) {
	reports := make([]metar.Report, len(station))
	for i, row := range station {
		reports[i] = metar.Report{Kind: metar.Routine, ObservedAt: row.ObservedAt}
		if row.Kind == "SPECI" {
			reports[i].Kind = metar.Special
		}
		if row.HourPrecipIn != nil {
			reports[i].HourPrecip = metar.Amount{HundredthsIn: int(math.Round(*row.HourPrecipIn * 100)), IsTrace: row.HourIsTrace, Known: true}
		}
	}
	for i, added := range metar.Increments(reports) {
		water := Value{Number: added.Precip.In(), Null: !added.Precip.Known}
		appendValue(b.Field(0), Value{Text: station[i].StationID})
		appendValue(b.Field(1), Value{Micros: station[i].ObservedAt.UnixMicro()})
		appendValue(b.Field(2), water)
		appendValue(b.Field(3), Value{Bool: added.Precip.IsTrace, Null: water.Null})
		appendValue(b.Field(4), Value{Bool: added.IsLower})
	}
}
