package intake

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
)

// archiveGroupBytes bounds what an archive file holds in memory before it is written out.
const archiveGroupBytes = 16 << 20

// archivePageBytes is the piece that is compressed at a time: in one small enough for the processor's nearest memory the compressor is
// quicker,
// and what repeats in deliveries repeats within it.
const archivePageBytes = 64 << 10

// archiveSchema is an archived delivery: every row as delivered, and why it could not be split, if so.
var archiveSchema = arrow.NewSchema([]arrow.Field{
	{Name: "line", Type: arrow.PrimitiveTypes.Int64},
	{Name: "raw", Type: arrow.BinaryTypes.Binary},
	{Name: "fault", Type: arrow.BinaryTypes.String, Nullable: true},
}, nil)

func archivePath(dir string, content ContentKey) string {
	return filepath.Join(dir, "archive", content.Feed, content.Sha256+".parquet")
}

// archiveWriter writes one content to the archive as it is read; it is a delivery.Keeper. Nothing stands under the content's name before
// commit.
type archiveWriter struct {
	layer      disk.Layer
	path       string
	out        *disk.LayerFile
	parquet    *pqarrow.FileWriter
	rows       *array.RecordBuilder
	count      int // of those rows
	bytes      int // of those rows
	groupBytes int // of the open row group, what is on its way to it included
	jobs       chan archiveJob
	done       chan struct{}         // closed when no job is left
	fault      atomic.Pointer[error] // the first of a job
}

// archiveJob is rows on their way to the file, or, without rows, its end.
type archiveJob struct {
	batch     arrow.RecordBatch
	endsGroup bool
}

// archiveJobs is how many may wait: so many that the file goes on while the rows that were read are put in order.
const archiveJobs = 6

func newArchiveWriter(layer disk.Layer, dir string, content ContentKey) (*archiveWriter, error) {
	w := &archiveWriter{layer: layer, path: archivePath(dir, content)}
	if err := layer.MakeFolder(filepath.Dir(w.path)); err != nil {
		return nil, err
	}
	out, err := layer.Open(disk.TemporaryName(w.path), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, disk.PublicMode)
	if err != nil {
		return nil, err
	}
	w.out = out
	w.rows = array.NewRecordBuilder(memory.DefaultAllocator, archiveSchema)
	// Zstandard would take two thirds of the room, and half as long again as Snappy: a fifteenth of the time of a load.
	properties := parquet.NewWriterProperties(parquet.WithCompression(compress.Codecs.Snappy), parquet.WithDataPageSize(archivePageBytes),
		parquet.WithDictionaryDefault(false),
		parquet.WithEncodingFor("line", parquet.Encodings.DeltaBinaryPacked), parquet.WithDictionaryFor("fault", true),
		parquet.WithStats(false), parquet.WithCreatedBy("lanetally"))
	w.parquet, err = pqarrow.NewFileWriter(archiveSchema, disk.UnclosedFile{Writer: out}, properties, pqarrow.DefaultWriterProps())
	if err != nil {
		return nil, errors.Join(err, w.discard())
	}
	w.jobs, w.done = make(chan archiveJob, archiveJobs), make(chan struct{})
	go w.run(w.jobs)
	return w, nil
}

// Keep adds a row. An error is of rows before.
func (w *archiveWriter) Keep(row delivery.Row) error {
	w.rows.Field(0).(*array.Int64Builder).Append(row.Line)
	if row.Rest > 0 { // on line 0: the number stands in place of a row's bytes
		row.Raw = strconv.AppendInt(nil, row.Rest, 10)
	}
	w.rows.Field(1).(*array.BinaryBuilder).Append(row.Raw)
	fault := w.rows.Field(2).(*array.StringBuilder)
	if row.Fault == nil {
		fault.AppendNull()
	} else {
		fault.Append(row.Fault.Reason())
	}
	w.bytes += len(row.Raw) + 16
	if w.count++; w.count < ledger.BatchRows && w.bytes < ledger.BatchBytes {
		return nil
	}
	bytes := w.bytes
	w.flush()
	w.rows.Reserve(ledger.BatchRows)
	w.rows.Field(1).(*array.BinaryBuilder).ReserveData(bytes)
	return w.err()
}

// End makes the file whole, once all rows are kept.
func (w *archiveWriter) End() {
	if w.count > 0 {
		w.flush()
	}
	w.jobs <- archiveJob{}
}

// flush hands the rows kept so far to the file, which takes them while the next are read.
func (w *archiveWriter) flush() {
	w.groupBytes += w.bytes
	w.jobs <- archiveJob{w.rows.NewRecordBatch(), w.groupBytes >= archiveGroupBytes}
	if w.groupBytes >= archiveGroupBytes {
		w.groupBytes = 0
	}
	w.count, w.bytes = 0, 0
}

// run does what is handed on; after a fault nothing more.
func (w *archiveWriter) run(jobs chan archiveJob) {
	defer close(w.done)
	for job := range jobs {
		if w.err() == nil {
			if err := w.do(job); err != nil {
				w.fault.Store(&err)
			}
		}
		if job.batch != nil {
			job.batch.Release()
		}
	}
}

func (w *archiveWriter) do(job archiveJob) error {
	if job.batch == nil {
		if err := w.parquet.Close(); err != nil {
			return err
		}
		return w.out.Finish()
	}
	if err := w.parquet.WriteBuffered(job.batch); err != nil || !job.endsGroup {
		return err
	}
	return w.parquet.NewBufferedRowGroupChecked()
}

func (w *archiveWriter) err() error {
	if fault := w.fault.Load(); fault != nil {
		return *fault
	}
	return nil
}

// wait waits for what is on its way; no more may follow.
func (w *archiveWriter) wait() error {
	if w.jobs != nil {
		close(w.jobs)
		<-w.done
		w.jobs = nil
	}
	return w.err()
}

// commit gives the content its name, durably, after End.
func (w *archiveWriter) commit() error {
	if err := w.wait(); err != nil {
		return errors.Join(err, w.discard())
	}
	return w.layer.Settle(w.path)
}

// discard leaves nothing of the content behind.
func (w *archiveWriter) discard() error {
	_ = w.wait() // what did not arrive is discarded too
	closing := w.out.File.Close()
	if errors.Is(closing, os.ErrClosed) { // at its end
		closing = nil
	}
	return errors.Join(closing, os.Remove(disk.TemporaryName(w.path)))
}

// ErrArchiveDamaged says that an archive file does not hold what was written.
var ErrArchiveDamaged = errors.New("damaged archive file; restore it from a backup, or deliver the file again")

// ArchiveReader reads the rows of one content back.
type ArchiveReader struct {
	path    string
	reports bool // each row is one report, not a CSV record
	file    *os.File
	records pqarrow.RecordReader
	batch   arrow.RecordBatch
	at      int
	row     delivery.Row
	err     error
}

func isArchived(dir string, content ContentKey) bool {
	info, err := os.Stat(archivePath(dir, content))
	return err == nil && info.Mode().IsRegular()
}

// OpenArchive opens the archive file of a content below dir, the district folder; the caller closes the reader.
func OpenArchive(ctx context.Context, dir string, content ContentKey) (*ArchiveReader, error) {
	r := &ArchiveReader{path: archivePath(dir, content), reports: content.isReports()}
	var err error
	if r.file, err = os.Open(r.path); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s: missing archive file; restore it from a backup, or deliver the file again", r.path)
		}
		return nil, err
	}
	if err := r.begin(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", r.path, err), r.file.Close())
	}
	return r, nil
}

func (r *ArchiveReader) begin(ctx context.Context) (err error) {
	defer archiveDamagedOnPanic(&err)
	parquetFile, err := file.NewParquetReader(r.file)
	if err != nil {
		return ErrArchiveDamaged
	}
	tables, err := pqarrow.NewFileReader(parquetFile, pqarrow.ArrowReadProperties{BatchSize: ledger.BatchRows}, memory.DefaultAllocator)
	if err != nil {
		return ErrArchiveDamaged
	}
	schema, err := tables.Schema()
	if err != nil || schema.NumFields() != 3 || schema.Field(1).Type.ID() != arrow.BINARY {
		return ErrArchiveDamaged
	}
	if r.records, err = tables.GetRecordReader(ctx, nil, nil); err != nil {
		return ErrArchiveDamaged
	}
	return nil
}

func archiveDamagedOnPanic(err *error) {
	if recover() != nil {
		*err = ErrArchiveDamaged
	}
}

// Next reads the next row; false at the end, or when Err is not nil.
func (r *ArchiveReader) Next() bool {
	if r.err != nil {
		return false
	}
	err := r.step()
	if errors.Is(err, io.EOF) {
		return false
	}
	if err != nil {
		r.err = fmt.Errorf("%s: %w", r.path, err)
	}
	return err == nil
}

func (r *ArchiveReader) step() (err error) {
	defer archiveDamagedOnPanic(&err)
	for r.batch == nil || r.at == int(r.batch.NumRows()) {
		if !r.records.Next() {
			if err := r.records.Err(); err != nil && !errors.Is(err, io.EOF) {
				return ErrArchiveDamaged
			}
			return io.EOF
		}
		r.batch, r.at = r.records.RecordBatch(), 0
	}
	r.row = delivery.Row{Line: r.batch.Column(0).(*array.Int64).Value(r.at), Raw: r.batch.Column(1).(*array.Binary).Value(r.at)}
	if fault := r.batch.Column(2); !fault.IsNull(r.at) {
		r.row.Fault = delivery.RowFault(fault.(*array.String).Value(r.at))
	} else if r.reports {
		r.row.Cells = delivery.ReportCells(r.row.Raw)
	} else {
		r.row.Cells = delivery.SplitRecord(r.row.Raw)
	}
	r.at++
	if r.row.Line == 0 {
		r.row.Rest, _ = strconv.ParseInt(string(r.row.Raw), 10, 64)
		r.row.Raw, r.row.Cells = nil, nil
	}
	if r.row.Fault == nil && r.row.Cells == nil || r.row.Line == 0 && r.row.Rest <= 0 {
		return ErrArchiveDamaged
	}
	return nil
}

// Row is the row that Next read.
func (r *ArchiveReader) Row() delivery.Row { return r.row }

// Err is what ended reading early, or nil.
func (r *ArchiveReader) Err() error { return r.err }

// Close closes the file. Parquet's own reader may have closed it already.
func (r *ArchiveReader) Close() error {
	if err := r.file.Close(); err != nil && !errors.Is(err, os.ErrClosed) {
		return err
	}
	return nil
}
