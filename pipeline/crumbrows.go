package pipeline

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/trace"
)

// tableRows collects rows on their way into a table.
type tableRows struct {
	builder *array.RecordBuilder
	count   int
}

func newTableRows(fields []arrow.Field) *tableRows {
	return &tableRows{builder: array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))}
}

// add adds one row; nil is a missing value.
func (t *tableRows) add(values ...any) {
	for i, value := range values {
		switch to := t.builder.Field(i).(type) {
		case *array.StringBuilder:
			addTo(to, value)
		case *array.BinaryBuilder:
			to.Append(value.([]byte))
		case *array.Int64Builder:
			addTo(to, value)
		case *array.Float64Builder:
			addTo(to, value)
		case *array.BooleanBuilder:
			addTo(to, value)
		case *array.TimestampBuilder:
			if value == nil {
				to.AppendNull()
			} else {
				to.Append(arrow.Timestamp(value.(int64) * 1000)) // Unix milliseconds
			}
		}
	}
	t.count++
}

func addTo[T any](to interface {
	Append(T)
	AppendNull()
}, value any) {
	if value == nil {
		to.AppendNull()
	} else {
		to.Append(value.(T))
	}
}

// insert appends the rows to the table and begins anew.
func (t *tableRows) insert(ctx context.Context, l *Ledger, table string) error {
	if t.count == 0 {
		return nil
	}
	batch := t.builder.NewRecordBatch()
	defer batch.Release()
	t.count = 0
	records, err := array.NewRecordReader(t.builder.Schema(), []arrow.RecordBatch{batch})
	if err != nil {
		return err
	}
	return l.insertRecords(ctx, table, records)
}

// orNull is nil for the empty text.
func orNull(text string) any {
	if text == "" {
		return nil
	}
	return text
}

func finiteOrNull(number float64) any {
	if math.IsNaN(number) {
		return nil
	}
	return number
}

// fieldsOf are nullable fields: names in order, each followed by its type.
func fieldsOf(kinds ...any) (fields []arrow.Field) {
	for i := 0; i < len(kinds); i += 2 {
		fields = append(fields, arrow.Field{Name: kinds[i].(string), Type: kinds[i+1].(arrow.DataType), Nullable: true})
	}
	return fields
}

var (
	textKind   = arrow.BinaryTypes.String
	countKind  = arrow.PrimitiveTypes.Int64
	numberKind = arrow.PrimitiveTypes.Float64
	flagKind   = arrow.FixedWidthTypes.Boolean
)

var crumbPassFields = fieldsOf("truck_id", textKind, "day", countKind, "trace_ended_at", instantType, "first_at", instantType, "first_no", countKind,
	"sha256", textKind, "line", countKind, "route_id", textKind, "began_at", instantType, "ended_at", instantType, "from_mi", numberKind, "to_mi", numberKind,
	"lanes", numberKind, "is_treating", flagKind, "material_id", textKind, "crew_id", textKind, "plow_down", flagKind, "dispensed_ulb", countKind, "basis", textKind,
	"points", countKind, "matched_share", numberKind, "confidence", numberKind, "weak_reason", textKind)

var crumbTraceFields = fieldsOf("truck_id", textKind, "day", countKind, "began_at", instantType, "ended_at", instantType, "points", countKind, "on_route", countKind,
	"off_network", countKind, "jumps", countKind, "frozen", countKind, "off_network_mi", numberKind, "travel_mi", numberKind, "fed_ulb", countKind,
	"unplaced_ulb", countKind, "resets", countKind, "wraps", countKind, "counter_faults", countKind,
	"first_total_at", instantType, "first_total_lb", numberKind, "last_total_at", instantType, "last_total_lb", numberKind)

var crumbCountFields = fieldsOf("sha256", textKind, "day", countKind, "accepted", countKind, "duplicates", countKind, "corrections", countKind)

var crumbDayFields = fieldsOf("sha256", textKind, "day", countKind, "positions", countKind)

var crumbNameFields = fieldsOf("sha256", textKind, "column_name", textKind, "name", textKind, "is_known", flagKind)

var crumbRedoneFields = fieldsOf("truck_id", textKind, "from_at", instantType, "to_at", instantType)

const metresAMile = 1609.344

// crumbBuilders is how many traces are matched beside each other.
const crumbBuilders = 2

// crumbBuilding turns traces into rows of crumb_passes and crumb_traces.
type crumbBuilding struct {
	names    *crumbs.Names
	network  *crumbNetwork
	builders [crumbBuilders]*trace.Builder
	passes   *tableRows
	traces   *tableRows
}

func newCrumbBuilding(names *crumbs.Names, network *crumbNetwork, settings trace.Settings) *crumbBuilding {
	b := &crumbBuilding{names: names, network: network, passes: newTableRows(crumbPassFields), traces: newTableRows(crumbTraceFields)}
	for i := range b.builders {
		b.builders[i] = trace.NewBuilder(network.lines, network.lanesPerPass, settings)
	}
	return b
}

// takes build the passes of traces, each with a builder of its own; the rows come in the traces' order. Before is asked before each trace is.
func (b *crumbBuilding) takes(before func() error, finished func(points int)) (takes []crumbs.Take) {
	for _, builder := range b.builders {
		takes = append(takes, func(tr crumbs.Trace) func() error {
			if err := before(); err != nil {
				return func() error { return err }
			}
			passes, counts := builder.Build(tr.Points)
			return func() error {
				b.add(tr, passes, counts)
				finished(len(tr.Points))
				return nil
			}
		})
	}
	return takes
}

// add adds the rows of one trace.
func (b *crumbBuilding) add(tr crumbs.Trace, passes []trace.Pass, counts trace.Counts) {
	began, ended := tr.Points[0].AtMS, tr.Points[len(tr.Points)-1].AtMS
	first, last := endReadings(tr.Points)
	b.traces.add(tr.Truck, int64(tr.Day), began, ended, int64(counts.Points), int64(counts.OnRoute), int64(counts.OffNetwork), int64(counts.Jumps), int64(counts.Frozen),
		microMiles(counts.OffNetworkM/metresAMile), microMiles(counts.TravelM/metresAMile), counts.FedULb, counts.UnplacedULb, int64(counts.Resets), int64(counts.Wraps), int64(counts.CounterFaults),
		first.atMS, first.totalLb, last.atMS, last.totalLb)
	numbers := map[int]int64{}
	for i := range passes {
		p := &passes[i]
		numbers[p.First]++
		origin := tr.Origins[p.First]
		b.passes.add(tr.Truck, int64(tr.Day), ended, tr.Points[p.First].AtMS, numbers[p.First], b.names.Text(origin.Content), origin.Line,
			b.network.lines.RouteID(p.Route), p.BeganMS, p.EndedMS, microMiles(p.FromMi), microMiles(p.ToMi), finiteOrNull(p.Lanes), p.Activity == trace.Treating,
			orNull(b.names.Text(p.Material)), orNull(b.names.Text(p.Crew)), flagOf(p.PlowDown), passPounds(p), p.Basis.String(),
			int64(p.Points), p.MatchShare, p.Confidence, orNull(p.Weak))
	}
}

// reading is one of the running counter; both are nil where there is none.
type reading struct{ atMS, totalLb any }

// endReadings are the first and the last reading of the running counter.
func endReadings(points []trace.Point) (first, last reading) {
	has := func(p trace.Point) bool { return !math.IsNaN(p.TotalLb) }
	i := slices.IndexFunc(points, has)
	if i < 0 {
		return first, last
	}
	k := len(points) - 1
	for !has(points[k]) {
		k--
	}
	return reading{points[i].AtMS, points[i].TotalLb}, reading{points[k].AtMS, points[k].TotalLb}
}

// microMiles keeps what a receiver can tell, and more, of a distance: a sixteenth of an inch.
func microMiles(mi float64) float64 { return math.RoundToEven(mi*1e6) / 1e6 }

func flagOf(tri trace.Tri) any {
	if tri == trace.Unknown {
		return nil
	}
	return tri == trace.Yes
}

func passPounds(p *trace.Pass) any {
	if p.Basis == trace.NoBasis {
		return nil
	}
	return p.Pounds
}

// insertCounts tells anew what became of the rows of the days that were looked through.
func insertCounts(ctx context.Context, l *Ledger, result crumbs.Result) error {
	if err := l.Exec(ctx, "delete from crumb_counts where day between ? and ?", int32(result.First), int32(result.Last)); err != nil {
		return err
	}
	rows := newTableRows(crumbCountFields)
	for _, count := range result.Counts {
		rows.add(count.Content, int64(count.Day), int64(count.Accepted), int64(count.Duplicates), int64(count.Corrections))
	}
	return rows.insert(ctx, l, "crumb_counts")
}

// replacePasses puts the traces that were built anew in place of those that they were.
func (b *crumbBuilding) replacePasses(ctx context.Context, l *Ledger, result crumbs.Result) error {
	if err := l.Exec(ctx, "create or replace temp table crumb_redone (truck_id varchar, from_at timestamptz, to_at timestamptz)"); err != nil {
		return err
	}
	redone := newTableRows(crumbRedoneFields)
	for _, r := range result.Redone {
		redone.add(r.Truck, r.FromMS, r.ToMS)
	}
	if err := redone.insert(ctx, l, "crumb_redone"); err != nil {
		return err
	}
	for table, span := range map[string][2]string{"crumb_passes": {"first_at", "trace_ended_at"}, "crumb_traces": {"began_at", "ended_at"}} {
		drop := fmt.Sprintf(`delete from %s as kept using crumb_redone as redone
			where redone.truck_id = kept.truck_id and kept.day between ? and ? and kept.%s < redone.to_at and kept.%s >= redone.from_at`, table, span[0], span[1])
		if err := l.Exec(ctx, drop, int32(result.First), int32(result.Last)); err != nil {
			return err
		}
	}
	if err := b.traces.insert(ctx, l, "crumb_traces"); err != nil {
		return err
	}
	return b.passes.insert(ctx, l, "crumb_passes")
}
