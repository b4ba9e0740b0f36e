package crumbs

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/trace"
)

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

// encode writes rows as one Parquet file; the same rows give the same bytes.
func encode(to io.Writer, rows []Row, names *Names) (err error) {
	options := []parquet.WriterProperty{parquet.WithCompression(compress.Codecs.Zstd), parquet.WithDictionaryDefault(false), parquet.WithCreatedBy("lanetally")}
	for _, column := range []int{truckColumn, materialColumn, crewColumn, contentColumn, rateColumn, lanesColumn} {
		options = append(options, parquet.WithDictionaryFor(schema.Field(column).Name, true))
	}
	properties := parquet.NewWriterProperties(options...)
	writer, err := pqarrow.NewFileWriter(schema, unclosed{to}, properties, pqarrow.DefaultWriterProps())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, writer.Close()) }()
	builder := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	for len(rows) > 0 {
		n := min(len(rows), batchRows)
		for i := range rows[:n] {
			appendRow(builder, &rows[i], names)
		}
		batch := builder.NewRecordBatch()
		err := writer.Write(batch)
		batch.Release()
		if err != nil {
			return err
		}
		rows = rows[n:]
	}
	return nil
}

// unclosed keeps the Parquet library from closing a file before it is durable.
type unclosed struct{ io.Writer }

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

var errDamaged = errors.New("damaged file; restore it from a backup, or remove it and deliver its positions again")

// decode appends the rows of a file to rows; a file that is absent has none.
func (s *Store) decode(rows []Row, day Day) (_ []Row, err error) {
	open, err := s.folder.Open(day.path())
	if errors.Is(err, fs.ErrNotExist) {
		return rows, nil
	}
	if err != nil {
		return rows, err
	}
	defer open.Close()
	defer func() {
		if recover() != nil {
			err = errDamaged
		}
		if err != nil {
			err = fmt.Errorf("%s: %w", day.path(), err)
		}
	}()
	source, ok := open.(parquet.ReaderAtSeeker)
	if !ok {
		return rows, errors.New("not a regular file")
	}
	parquetFile, err := file.NewParquetReader(source)
	if err != nil {
		return rows, errDamaged
	}
	tables, err := pqarrow.NewFileReader(parquetFile, pqarrow.ArrowReadProperties{BatchSize: batchRows}, memory.DefaultAllocator)
	if err != nil {
		return rows, errDamaged
	}
	records, err := tables.GetRecordReader(context.Background(), nil, nil)
	if err != nil || records.Schema().NumFields() != schema.NumFields() {
		return rows, errDamaged
	}
	for records.Next() {
		rows = appendBatch(rows, records.RecordBatch(), s.names)
	}
	if err := records.Err(); err != nil && err != io.EOF {
		return rows, errDamaged
	}
	return rows, nil
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
