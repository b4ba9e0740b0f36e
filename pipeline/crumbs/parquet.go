package crumbs

import (
	"errors"
	"math"
	"os"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/trace"
)

// batchRows is the rows of a row group: what a file being written holds in memory.
const batchRows = 64 << 10

// Columns of a file, in order: the feed's, then where the row came from.
const (
	truckColumn = iota
	atColumn
	latColumn
	lonColumn
	speedColumn
	spreadingColumn
	rateColumn
	totalColumn
	materialColumn
	plowColumn
	lanesColumn
	crewColumn
	contentColumn
	lineColumn
)

var schema = arrow.NewSchema([]arrow.Field{
	{Name: "truck_id", Type: arrow.BinaryTypes.String},
	{Name: "at", Type: &arrow.TimestampType{Unit: arrow.Millisecond, TimeZone: "UTC"}},
	{Name: "lat", Type: arrow.PrimitiveTypes.Float64},
	{Name: "lon", Type: arrow.PrimitiveTypes.Float64},
	{Name: "speed_mph", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "spreading", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "rate_lb_per_lane_mi", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "dispensed_total_lb", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "material_id", Type: arrow.BinaryTypes.String},
	{Name: "plow_down", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "lanes", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "crew_id", Type: arrow.BinaryTypes.String},
	{Name: "content_sha256", Type: arrow.BinaryTypes.String},
	{Name: "line", Type: arrow.PrimitiveTypes.Int64},
}, nil)

// rowWriter writes the rows of a day; the same rows give the same bytes.
type rowWriter struct {
	names   *Names
	out     *outFile
	parquet *pqarrow.FileWriter
	builder *array.RecordBuilder
	rows    int
	writing chan error // of the rows that were handed on last; nil when none are on their way
}

func newRowWriter(store *Store, day Day) (*rowWriter, error) {
	out, err := store.dir.create(day.path())
	if err != nil {
		return nil, err
	}
	options := []parquet.WriterProperty{parquet.WithCompression(compress.Codecs.Zstd), parquet.WithDictionaryDefault(false), parquet.WithCreatedBy("lanetally")}
	for _, column := range []int{truckColumn, materialColumn, crewColumn, contentColumn, rateColumn, lanesColumn} {
		options = append(options, parquet.WithDictionaryFor(schema.Field(column).Name, true))
	}
	w := &rowWriter{names: store.names, out: out, builder: array.NewRecordBuilder(memory.DefaultAllocator, schema)}
	w.parquet, err = pqarrow.NewFileWriter(schema, unclosed{out}, parquet.NewWriterProperties(options...), pqarrow.DefaultWriterProps())
	if err != nil {
		return nil, errors.Join(err, out.discard())
	}
	return w, nil
}

func (w *rowWriter) add(row *Row) error {
	appendRow(w.builder, row, w.names)
	w.rows++
	if w.rows%batchRows == 0 {
		return w.handOn()
	}
	return nil
}

// handOn gives the rows so far to the file, which takes them while the next come.
func (w *rowWriter) handOn() error {
	if err := w.wait(); err != nil {
		return err
	}
	batch, written := w.builder.NewRecordBatch(), make(chan error, 1)
	w.writing = written
	go func() {
		defer batch.Release()
		written <- w.parquet.Write(batch)
	}()
	return nil
}

// wait waits for the rows on their way.
func (w *rowWriter) wait() error {
	if w.writing == nil {
		return nil
	}
	err := <-w.writing
	w.writing = nil
	return err
}

func (w *rowWriter) flush() error {
	batch := w.builder.NewRecordBatch()
	defer batch.Release()
	return w.parquet.Write(batch)
}

func (w *rowWriter) finish() error {
	if err := w.wait(); err != nil {
		return errors.Join(err, w.discard())
	}
	if w.rows%batchRows != 0 {
		if err := w.flush(); err != nil {
			return errors.Join(err, w.discard())
		}
	}
	if err := w.parquet.Close(); err != nil {
		return errors.Join(err, w.discard())
	}
	return w.out.finish()
}

// discard leaves nothing of the new file, which may be finished already.
func (w *rowWriter) discard() error {
	_ = w.wait() // what did not arrive is discarded too
	closing, removing := w.out.file.Close(), os.Remove(w.out.file.Name())
	if errors.Is(closing, os.ErrClosed) {
		closing = nil
	}
	if errors.Is(removing, os.ErrNotExist) {
		removing = nil
	}
	return errors.Join(closing, removing)
}

func appendRow(to *array.RecordBuilder, row *Row, names *Names) {
	p := &row.Point
	text := func(column int, text int32) { to.Field(column).(*array.StringBuilder).Append(names.Text(text)) }
	number := func(column int, value float64) {
		if field := to.Field(column).(*array.Float64Builder); math.IsNaN(value) {
			field.AppendNull()
		} else {
			field.Append(value)
		}
	}
	tri := func(column int, value trace.Tri) {
		if field := to.Field(column).(*array.BooleanBuilder); value == trace.Unknown {
			field.AppendNull()
		} else {
			field.Append(value == trace.Yes)
		}
	}
	text(truckColumn, row.Truck)
	to.Field(atColumn).(*array.TimestampBuilder).Append(arrow.Timestamp(p.AtMS))
	number(latColumn, p.Lat)
	number(lonColumn, p.Lon)
	number(speedColumn, p.SpeedMPH)
	tri(spreadingColumn, p.Spreading)
	number(rateColumn, p.RateLbPerLaneMi)
	number(totalColumn, p.TotalLb)
	text(materialColumn, p.Material)
	tri(plowColumn, p.PlowDown)
	number(lanesColumn, p.Lanes)
	text(crewColumn, p.Crew)
	text(contentColumn, row.Content)
	to.Field(lineColumn).(*array.Int64Builder).Append(row.Line)
}

func appendBatch(rows []Row, batch arrow.RecordBatch, names *Names) []Row {
	number := func(column, i int) float64 {
		if from := batch.Column(column).(*array.Float64); !from.IsNull(i) {
			return from.Value(i)
		}
		return math.NaN()
	}
	tri := func(column, i int) trace.Tri {
		switch from := batch.Column(column).(*array.Boolean); {
		case from.IsNull(i):
			return trace.Unknown
		case from.Value(i):
			return trace.Yes
		}
		return trace.No
	}
	text := func(column, i int) int32 { return names.known(batch.Column(column).(*array.String).Value(i)) }
	for i := range int(batch.NumRows()) {
		rows = append(rows, Row{
			Truck: text(truckColumn, i), Content: text(contentColumn, i), Line: batch.Column(lineColumn).(*array.Int64).Value(i),
			Point: trace.Point{
				AtMS: int64(batch.Column(atColumn).(*array.Timestamp).Value(i)), Lat: number(latColumn, i), Lon: number(lonColumn, i), SpeedMPH: number(speedColumn, i),
				Spreading: tri(spreadingColumn, i), RateLbPerLaneMi: number(rateColumn, i), TotalLb: number(totalColumn, i), Material: text(materialColumn, i),
				PlowDown: tri(plowColumn, i), Lanes: number(lanesColumn, i), Crew: text(crewColumn, i),
			},
		})
	}
	return rows
}
