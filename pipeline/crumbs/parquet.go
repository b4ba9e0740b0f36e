package crumbs

import (
	"errors"
	"math"
	"os"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/trace"
)

// batchRows is the rows of a row group: what a file being written holds in memory.
const batchRows = 32 << 10

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

// textColumns hold few texts, over and over.
var textColumns = [...]int{truckColumn, materialColumn, crewColumn, contentColumn}

// written is schema with those texts as numbers of a list, which is how Parquet writes them and how Names has them.
var written = func() *arrow.Schema {
	fields := schema.Fields()
	for _, column := range textColumns {
		fields[column].Type = &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Int32, ValueType: arrow.BinaryTypes.String}
	}
	return arrow.NewSchema(fields, nil)
}()

// rowProperties: times and lines grow by little, so their differences are written. Positions hardly shrink when packed, and are left as they are. Of the
// times the least and the greatest of each row group are noted.
func rowProperties() *parquet.WriterProperties {
	options := []parquet.WriterProperty{parquet.WithCompression(compress.Codecs.Zstd), parquet.WithCompressionLevel(1), parquet.WithDictionaryDefault(false),
		parquet.WithCreatedBy("lanetally"), parquet.WithStats(false), parquet.WithStatsFor(schema.Field(atColumn).Name, true)}
	for _, column := range append(textColumns[:], rateColumn, lanesColumn, speedColumn) {
		options = append(options, parquet.WithDictionaryFor(schema.Field(column).Name, true))
	}
	for _, column := range []int{atColumn, lineColumn} {
		options = append(options, parquet.WithEncodingFor(schema.Field(column).Name, parquet.Encodings.DeltaBinaryPacked))
	}
	for _, column := range []int{latColumn, lonColumn} {
		options = append(options, parquet.WithCompressionFor(schema.Field(column).Name, compress.Codecs.Uncompressed))
	}
	return parquet.NewWriterProperties(options...)
}

// rowWriter writes the rows of a day; the same rows give the same bytes.
type rowWriter struct {
	encoder *encoder
	out     *outFile
	parquet *pqarrow.FileWriter
	batch   []Row
	rows    int
}

func newRowWriter(store *Store, encoder *encoder, day Day) (*rowWriter, error) {
	out, err := store.dir.create(day.path())
	if err != nil {
		return nil, err
	}
	w := &rowWriter{encoder: encoder, out: out}
	if w.parquet, err = pqarrow.NewFileWriter(written, unclosed{out}, rowProperties(), pqarrow.DefaultWriterProps()); err != nil {
		return nil, errors.Join(err, out.discard())
	}
	return w, nil
}

func (w *rowWriter) add(row *Row) error {
	w.batch = append(w.batch, *row)
	w.rows++
	if len(w.batch) == batchRows {
		return w.flush()
	}
	return nil
}

// flush hands a row group on.
func (w *rowWriter) flush() error {
	w.batch = w.encoder.give(w.parquet, w.batch)
	return w.encoder.err()
}

func (w *rowWriter) finish() error {
	if len(w.batch) > 0 {
		if err := w.flush(); err != nil {
			return errors.Join(err, w.discard())
		}
	}
	if err := w.encoder.wait(); err != nil {
		return errors.Join(err, w.discard())
	}
	if err := w.parquet.Close(); err != nil {
		return errors.Join(err, w.discard())
	}
	return w.out.finish()
}

// discard leaves nothing of the new file, which may be finished already.
func (w *rowWriter) discard() error {
	_ = w.encoder.wait() // what could not be written is to go
	closing, removing := w.out.file.Close(), os.Remove(w.out.file.Name())
	if errors.Is(closing, os.ErrClosed) {
		closing = nil
	}
	if errors.Is(removing, os.ErrNotExist) {
		removing = nil
	}
	return errors.Join(closing, removing)
}

// textNumbers gives the text of a row as its number: a column holds numbers of its own list of few texts.
func textNumbers(column arrow.Array, names *Names) func(i int) int32 {
	coded := column.(*array.Dictionary)
	list := coded.Dictionary().(*array.String)
	numbers := make([]int32, list.Len())
	for i := range numbers {
		numbers[i] = names.known(list.Value(i))
	}
	return func(i int) int32 { return numbers[coded.GetValueIndex(i)] }
}

func appendBatch(rows []Row, batch arrow.RecordBatch, names *Names) []Row {
	number := func(column int) func(i int) float64 {
		from := batch.Column(column).(*array.Float64)
		return func(i int) float64 {
			if from.IsNull(i) {
				return math.NaN()
			}
			return from.Value(i)
		}
	}
	tri := func(column int) func(i int) trace.Tri {
		from := batch.Column(column).(*array.Boolean)
		return func(i int) trace.Tri {
			switch {
			case from.IsNull(i):
				return trace.Unknown
			case from.Value(i):
				return trace.Yes
			}
			return trace.No
		}
	}
	text := func(column int) func(i int) int32 { return textNumbers(batch.Column(column), names) }
	truck, material, crew, content := text(truckColumn), text(materialColumn), text(crewColumn), text(contentColumn)
	lat, lon, speed, rate, total, lanes := number(latColumn), number(lonColumn), number(speedColumn), number(rateColumn), number(totalColumn), number(lanesColumn)
	spreading, plow := tri(spreadingColumn), tri(plowColumn)
	at, line := batch.Column(atColumn).(*array.Timestamp), batch.Column(lineColumn).(*array.Int64)
	for i := range int(batch.NumRows()) {
		rows = append(rows, Row{
			Truck: truck(i), Content: content(i), Line: line.Value(i),
			Point: trace.Point{
				AtMS: int64(at.Value(i)), Lat: lat(i), Lon: lon(i), SpeedMPH: speed(i), Spreading: spreading(i), RateLbPerLaneMi: rate(i), TotalLb: total(i),
				Material: material(i), PlowDown: plow(i), Lanes: lanes(i), Crew: crew(i),
			},
		})
	}
	return rows
}
