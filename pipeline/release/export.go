package release

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
)

// WriteExports writes every export to dir as NAME.csv and NAME.parquet, or the latter alone, rows sorted by the key of its contract.
func WriteExports(ctx context.Context, l *ledger.Ledger, files disk.Layer, dir string) error {
	return writeExports(ctx, l, files, dir, contract.Exports(), func(c *contract.Contract) string {
		return ledger.QuoteName(c.LedgerTable())
	})
}

// writeExports writes each export from where source says; none where that is "".
func writeExports(ctx context.Context, l *ledger.Ledger, files disk.Layer, dir string, exports []*contract.Contract,
	source func(*contract.Contract) string) error {
	for _, contract := range exports {
		from := source(contract)
		if from == "" {
			continue
		}
		err := l.ReadRecords(ctx, exportQuery(contract, from), func(records array.RecordReader) error {
			stem := filepath.Join(dir, contract.Name)
			if contract.ParquetOnly {
				return writeParquet(files, stem, records, nil)
			}
			return WriteExport(files, stem, records)
		})
		if err != nil {
			return fmt.Errorf("export %s: %w", contract.Name, err)
		}
	}
	return nil
}

// exportQuery selects the contract's columns of source in their order, sorted by its key, an empty key before any other.
func exportQuery(c *contract.Contract, source string) string {
	columns := make([]string, len(c.Fields))
	for i, f := range c.Fields {
		columns[i] = ledger.QuoteName(f.Name)
	}
	keys := make([]string, len(c.PrimaryKey))
	for i, key := range c.PrimaryKey {
		keys[i] = ledger.QuoteName(key) + " nulls first"
	}
	return "select " + strings.Join(columns, ", ") + " from " + source + " order by " + strings.Join(keys, ", ")
}

// WriteExport writes the same rows to stem.csv and stem.parquet.
func WriteExport(files disk.Layer, stem string, records array.RecordReader) error {
	return files.WriteDurable(stem+".csv", func(to io.Writer) error {
		return writeParquet(files, stem, records, NewCSVExport(to))
	})
}

// writeParquet writes the rows to stem.parquet, and beside it as text where there is a text to write.
func writeParquet(files disk.Layer, stem string, records array.RecordReader, text *csvExport) error {
	return files.WriteDurable(stem+".parquet", func(to io.Writer) error {
		properties := parquet.NewWriterProperties(parquet.WithCompression(compress.Codecs.Zstd), parquet.WithCreatedBy("lanetally"))
		writer, err := pqarrow.NewFileWriter(records.Schema(), disk.UnclosedFile{Writer: to}, properties, pqarrow.DefaultWriterProps())
		if err != nil {
			return err
		}
		return errors.Join(copyRecords(records, text, writer), writer.Close())
	})
}

// copyRecords writes every record to both writers; out may be nil.
func copyRecords(records array.RecordReader, out *csvExport, writer *pqarrow.FileWriter) error {
	if err := out.Header(records.Schema()); err != nil {
		return err
	}
	for records.Next() {
		batch := records.RecordBatch()
		if err := out.Rows(batch); err != nil {
			return err
		}
		if err := writer.Write(batch); err != nil {
			return err
		}
	}
	if err := records.Err(); err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	return out.Flush()
}

// csvExport writes records as RFC 4180 CSV with LF line ends; nil writes nothing.
type csvExport struct {
	writer *csv.Writer
	cells  []string
}

// NewCSVExport writes to w: Header first, then Rows as often as needed, Flush at the end.
func NewCSVExport(w io.Writer) *csvExport { return &csvExport{writer: csv.NewWriter(w)} }

// Header writes the names of the columns.
func (c *csvExport) Header(schema *arrow.Schema) error {
	if c == nil {
		return nil
	}
	c.cells = make([]string, schema.NumFields())
	for i, field := range schema.Fields() {
		c.cells[i] = field.Name
	}
	return c.writer.Write(c.cells)
}

// Rows writes the rows of a batch, whose columns are those of the header.
func (c *csvExport) Rows(batch arrow.RecordBatch) error {
	if c == nil {
		return nil
	}
	for row := range int(batch.NumRows()) {
		for i, column := range batch.Columns() {
			text, err := exportCell(column, row)
			if err != nil {
				return fmt.Errorf("%s: %w", batch.ColumnName(i), err)
			}
			c.cells[i] = text
		}
		if err := c.writer.Write(c.cells); err != nil {
			return err
		}
	}
	return nil
}

// Flush writes out what is held back; its error is the first of any write.
func (c *csvExport) Flush() error {
	if c == nil {
		return nil
	}
	c.writer.Flush()
	return c.writer.Error()
}

// exportCell is one cell as CSV text: empty for a missing value, UTC RFC 3339 for an instant, the shortest text that gives the double back
// for a number. A number that is not finite is an error: an export never holds NaN.
func exportCell(column arrow.Array, row int) (string, error) {
	if column.IsNull(row) {
		return "", nil
	}
	switch values := column.(type) {
	case *array.String:
		return InertText(values.Value(row)), nil
	case *array.Float64:
		return NumberText(values.Value(row))
	case *array.Boolean:
		return strconv.FormatBool(values.Value(row)), nil
	case *array.Int64:
		return strconv.FormatInt(values.Value(row), 10), nil
	case *array.Int32:
		return strconv.FormatInt(int64(values.Value(row)), 10), nil
	case *array.Timestamp:
		return values.Value(row).ToTime(arrow.Microsecond).UTC().Format(time.RFC3339Nano), nil
	case *array.Date32:
		return values.Value(row).ToTime().Format(time.DateOnly), nil
	}
	return "", fmt.Errorf("type %s has no place in an export", column.DataType())
}

// NumberText is the shortest decimal text that gives x back.
func NumberText(x float64) (string, error) {
	switch size := math.Abs(x); {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return "", fmt.Errorf("%v is not a finite number", x)
	case x == 0:
		return "0", nil
	case size < 1e-6 || size >= 1e21:
		return strconv.FormatFloat(x, 'e', -1, 64), nil
	}
	return strconv.FormatFloat(x, 'f', -1, 64), nil
}

// InertText keeps a spreadsheet from reading text as a formula: a leading apostrophe before =, +, -, @, tab and CR.
func InertText(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
