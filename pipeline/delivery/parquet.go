package delivery

import (
	"context"
	"encoding/binary"
	"errors"
	"io"
	"os"
	"strconv"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
)

// parquetBatchRows bounds the rows held at once.
const parquetBatchRows = 1024

// parquetRows are the rows of a Parquet file, rendered as text cells.
type parquetRows struct {
	schema  *arrow.Schema
	records pqarrow.RecordReader
	batch   arrow.RecordBatch
	at      int // next row of the batch
	line    int64
	cells   []string
	raw     []byte
	size    int64 // of the file
	decoded int64 // what the rows so far expand to
}

// newParquetRows opens a Parquet file. The library may panic on a damaged one: that is a damaged file too.
func newParquetRows(from *os.File) (rows source, err error) {
	defer damagedOnPanic(&err)
	size, err := checkFooter(from)
	if err != nil {
		return nil, err
	}
	reader, err := file.NewParquetReader(unclosed{from})
	if err != nil {
		return nil, fileFault("", faultParquet)
	}
	if err := checkExpansion(reader, size); err != nil {
		return nil, err
	}
	properties := pqarrow.ArrowReadProperties{BatchSize: parquetBatchRows}
	for i := range reader.MetaData().Schema.NumColumns() { // a text that many rows share stays one text
		properties.SetReadDict(i, reader.MetaData().Schema.Column(i).PhysicalType() == parquet.Types.ByteArray)
	}
	tables, err := pqarrow.NewFileReader(reader, properties, memory.DefaultAllocator)
	if err != nil {
		return nil, fileFault("", faultParquet)
	}
	schema, err := tables.Schema()
	if err != nil {
		return nil, fileFault("", faultParquet)
	}
	if err := checkTypes(schema); err != nil {
		return nil, err
	}
	records, err := tables.GetRecordReader(context.Background(), nil, nil)
	if err != nil {
		return nil, fileFault("", faultParquet)
	}
	return &parquetRows{schema: schema, records: records, line: 1, size: size}, nil
}

// unclosed keeps the library from closing a file that it did not open.
type unclosed struct{ *os.File }

// Close leaves the file open.
func (unclosed) Close() error { return nil }

func damagedOnPanic(err *error) {
	if recover() != nil {
		*err = fileFault("", faultParquet)
	}
}

// maxFooterBytes is the largest description of columns and row groups that is read: a thousand groups of 30 columns.
const maxFooterBytes = 4 << 20

// checkFooter gives a file's size, and refuses one whose description alone would fill the memory.
func checkFooter(from *os.File) (size int64, err error) {
	info, err := from.Stat()
	if err != nil {
		return 0, err
	}
	var end [8]byte // the footer's length and a mark
	if _, err := from.ReadAt(end[:], info.Size()-int64(len(end))); err != nil {
		return 0, fileFault("", faultParquet)
	}
	footer := int64(binary.LittleEndian.Uint32(end[:]))
	if string(end[4:]) == "PAR1" && footer < info.Size() && footer > maxFooterBytes {
		return 0, fileFault("", faultWide)
	}
	return info.Size(), nil
}

// isBomb tells whether what is decoded of a packed file of that size is more than files of rows expand to.
func isBomb(decoded, size int64) bool {
	return decoded > maxExpandedBytes && decoded > maxExpandedRatio*size
}

func checkExpansion(reader *file.Reader, size int64) error {
	var total int64
	for i := range reader.NumRowGroups() {
		total += reader.MetaData().RowGroup(i).TotalByteSize()
	}
	if isBomb(total, size) {
		return fileFault("", faultBomb)
	}
	return nil
}

func checkTypes(schema *arrow.Schema) error {
	for _, field := range schema.Fields() {
		if !isRead(field.Type) {
			return fileFault("", Fault{Code: "column_type", Found: strconv.Quote(field.Name)})
		}
	}
	return nil
}

func isRead(kind arrow.DataType) bool {
	switch kind := kind.(type) {
	case *arrow.DictionaryType:
		return isRead(kind.ValueType)
	case *arrow.TimestampType, arrow.DecimalType:
		return true
	}
	switch kind.ID() {
	case arrow.STRING, arrow.LARGE_STRING, arrow.BOOL, arrow.DATE32, arrow.DATE64, arrow.FLOAT16, arrow.FLOAT32, arrow.FLOAT64, arrow.NULL:
		return true
	}
	return arrow.IsInteger(kind.ID())
}

func (p *parquetRows) header() ([]string, []byte, *Fault, error) {
	if p.schema.NumFields() == 0 {
		return nil, nil, nil, fileFault("", faultEmpty)
	}
	cells := make([]string, 0, p.schema.NumFields())
	for _, field := range p.schema.Fields() {
		cells = append(cells, field.Name)
	}
	raw := appendRecord(nil, cells)
	return cells, raw, textFault(raw), nil
}

func (p *parquetRows) next() (row Row, err error) {
	defer damagedOnPanic(&err)
	for p.batch == nil || p.at == int(p.batch.NumRows()) {
		if !p.records.Next() {
			return Row{}, p.ended()
		}
		p.batch, p.at = p.records.RecordBatch(), 0
	}
	p.cells = p.cells[:0]
	p.decoded += rowBytes
	for _, column := range p.batch.Columns() {
		cell := cellText(column, p.at)
		p.cells = append(p.cells, cell)
		p.decoded += int64(len(cell))
	}
	if isBomb(p.decoded, p.size) {
		return Row{}, fileFault("", faultBomb)
	}
	p.at++
	p.line++
	p.raw = appendRecord(p.raw[:0], p.cells)
	row = Row{Line: p.line, Cells: p.cells, Raw: p.raw, Fault: textFault(p.raw)}
	if len(p.raw) > MaxRecordBytes {
		row.Raw, row.Fault = p.raw[:MaxRecordBytes], faultLongLine
	}
	if row.Fault != nil {
		row.Cells = nil
	}
	return row, nil
}

func (p *parquetRows) ended() error {
	if err := p.records.Err(); err != nil && !errors.Is(err, io.EOF) {
		return fileFault("", faultParquet)
	}
	return io.EOF
}

// cellText renders one value: instants in RFC 3339, wall times without an offset, numbers as the shortest text that
// gives the same number back, a missing value as nothing.
func cellText(column arrow.Array, at int) string {
	if column.IsNull(at) {
		return ""
	}
	switch column := column.(type) {
	case *array.Dictionary:
		return cellText(column.Dictionary(), column.GetValueIndex(at))
	case *array.Timestamp:
		return timestampText(column, at)
	case *array.Date32:
		return column.Value(at).ToTime().Format(time.DateOnly)
	case *array.Date64:
		return column.Value(at).ToTime().Format(time.DateOnly)
	case *array.Float16:
		return strconv.FormatFloat(float64(column.Value(at).Float32()), 'f', -1, 32)
	case *array.Float32:
		return strconv.FormatFloat(float64(column.Value(at)), 'f', -1, 32)
	case *array.Float64:
		return strconv.FormatFloat(column.Value(at), 'f', -1, 64)
	}
	return column.ValueStr(at)
}

func timestampText(column *array.Timestamp, at int) string {
	kind := column.DataType().(*arrow.TimestampType)
	instant := column.Value(at).ToTime(kind.Unit).UTC()
	if kind.TimeZone == "" {
		return instant.Format("2006-01-02 15:04:05.999999999")
	}
	return instant.Format(time.RFC3339Nano)
}
