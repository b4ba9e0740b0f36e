package crumbs

import (
	"crypto/sha256"
	"errors"
	"hash"
	"io"
	"os"
	"slices"
	"strings"
	"sync"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/disk"
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

// contentsKey is the key under which a file lists the contents that it has rows of.
const contentsKey = "contents"

// Where the columns of each kind lie in a row; those of atColumn and lineColumn are whole numbers. Texts are few, over and over.
var (
	numberColumns = [...]columnOf[float64]{
		{latColumn, func(r *Row) *float64 { return &r.Point.Lat }}, {lonColumn, func(r *Row) *float64 { return &r.Point.Lon }},
		{speedColumn, func(r *Row) *float64 { return &r.Point.SpeedMPH }}, {totalColumn, func(r *Row) *float64 { return &r.Point.TotalLb }},
		{lanesColumn, func(r *Row) *float64 { return &r.Point.Lanes }},
		{rateColumn, func(r *Row) *float64 { return &r.Point.RateLbPerLaneMi }},
	}
	flagColumns = [...]columnOf[trace.Tri]{
		{spreadingColumn, func(r *Row) *trace.Tri { return &r.Point.Spreading }},
		{plowColumn, func(r *Row) *trace.Tri { return &r.Point.PlowDown }},
	}
	textColumns = [...]columnOf[int32]{
		{truckColumn, func(r *Row) *int32 { return &r.Truck }}, {materialColumn, func(r *Row) *int32 { return &r.Point.Material }},
		{crewColumn, func(r *Row) *int32 { return &r.Point.Crew }}, {contentColumn, func(r *Row) *int32 { return &r.Content }},
	}
)

// columnOf is a column and where its value stands in a row.
type columnOf[T any] struct {
	number int
	of     func(*Row) *T
}

// written is schema with those texts as numbers of a list, which is how Parquet writes them and how Names has them.
var written = func() *arrow.Schema {
	fields := schema.Fields()
	for _, column := range textColumns {
		fields[column.number].Type = &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Int32, ValueType: arrow.BinaryTypes.String}
	}
	return arrow.NewSchema(fields, nil)
}()

// rowProperties: times and lines grow by little, so their differences are written. Positions hardly shrink when packed, and are left as
// they are. Of the times the least and the greatest of each row group are noted.
func rowProperties() *parquet.WriterProperties {
	options := []parquet.WriterProperty{parquet.WithCompression(compress.Codecs.Zstd), parquet.WithCompressionLevel(1),
		parquet.WithDictionaryDefault(false),
		parquet.WithCreatedBy("lanetally"), parquet.WithStats(false), parquet.WithStatsFor(schema.Field(atColumn).Name, true)}
	for _, column := range []int{truckColumn, materialColumn, crewColumn, contentColumn, rateColumn, lanesColumn, speedColumn} {
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
	digest  hash.Hash
	parquet *pqarrow.FileWriter
	batch   []Row
	pending sync.WaitGroup // batches on their way to the file
	rows    int

	contents map[int32]bool // of the batches that were handed on
}

func newRowWriter(store *Store, encoder *encoder, day Day) (*rowWriter, error) {
	out, err := store.dir.create(day.path())
	if err != nil {
		return nil, err
	}
	w := &rowWriter{encoder: encoder, out: out, digest: sha256.New(), batch: encoder.room(), contents: map[int32]bool{}}
	w.parquet, err = pqarrow.NewFileWriter(written, disk.UnclosedFile{Writer: io.MultiWriter(out, w.digest)}, rowProperties(),
		pqarrow.DefaultWriterProps())
	if err != nil {
		return nil, errors.Join(err, out.discard())
	}
	return w, nil
}

func (w *rowWriter) add(row *Row) error {
	w.batch = append(w.batch, *row)
	w.rows++
	if len(w.batch) == batchRows {
		w.encoder.give(w)
		return w.encoder.err()
	}
	return nil
}

// end hands the last row group on.
func (w *rowWriter) end() {
	if len(w.batch) > 0 {
		w.encoder.give(w)
	}
}

// finish makes the file durable, after end.
func (w *rowWriter) finish() error {
	w.pending.Wait()
	if err := w.encoder.err(); err != nil {
		return errors.Join(err, w.discard())
	}
	if err := errors.Join(w.parquet.AppendKeyValueMetadata(contentsKey, w.contentList()), w.parquet.Close()); err != nil {
		return errors.Join(err, w.discard())
	}
	return w.out.finish()
}

// contentList is the contents in order, a space between.
func (w *rowWriter) contentList() string {
	var list []string
	for content := range w.contents {
		list = append(list, w.encoder.names.Text(content))
	}
	slices.Sort(list)
	return strings.Join(list, " ")
}

// discard leaves nothing of the new file, which may be finished already.
func (w *rowWriter) discard() error {
	w.pending.Wait()
	closing, removing := w.out.File.Close(), os.Remove(w.out.File.Name())
	if errors.Is(closing, os.ErrClosed) {
		closing = nil
	}
	if errors.Is(removing, os.ErrNotExist) {
		removing = nil
	}
	return errors.Join(closing, removing)
}
