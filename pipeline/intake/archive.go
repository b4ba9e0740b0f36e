package intake

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
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
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
)

// archiveGroupBytes bounds what an archive file holds in memory before it is written out.
const archiveGroupBytes = 16 << 20

// archivePageBytes is the piece that is compressed at a time: in one small enough for the processor's nearest memory the compressor is
// quicker, and what repeats in deliveries repeats within it.
const archivePageBytes = 64 << 10

// archiveSchema is an archived delivery: every row as delivered, and why it could not be split, if so.
var archiveSchema = arrow.NewSchema([]arrow.Field{
	{Name: "line", Type: arrow.PrimitiveTypes.Int64},
	{Name: "raw", Type: arrow.BinaryTypes.Binary},
	{Name: "fault", Type: arrow.BinaryTypes.String, Nullable: true},
}, nil)

// damagedEnding ends the name under which a damaged file is kept when the inbox gave its content anew.
const damagedEnding = ".damaged"

func archivePath(dir string, content ContentKey) string {
	return filepath.Join(dir, "archive", content.Feed, content.Sha256+".parquet")
}

// archiveWriter writes one content to the archive as it is read; it is a delivery.Keeper. Nothing stands under the content's name before
// commit.
type archiveWriter struct {
	layer      disk.Layer
	path       string
	out        *disk.LayerFile
	digest     hash.Hash
	parquet    *pqarrow.FileWriter
	rows       *array.RecordBuilder
	count      int   // of those rows
	bytes      int   // of those rows
	groupBytes int   // of the open row group, what is on its way to it included
	skip       int64 // rows that another content has, and that are not written
	isUnsure   int   // bytes after which no open quote can reach beyond the content's end
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

func newArchiveWriter(layer disk.Layer, path string, skip int64) (*archiveWriter, error) {
	w := &archiveWriter{layer: layer, path: path, digest: sha256.New(), skip: skip}
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
	w.parquet, err = pqarrow.NewFileWriter(archiveSchema, disk.UnclosedFile{Writer: io.MultiWriter(out, w.digest)}, properties,
		pqarrow.DefaultWriterProps())
	if err != nil {
		return nil, errors.Join(err, w.discard())
	}
	w.jobs, w.done = make(chan archiveJob, archiveJobs), make(chan struct{})
	go w.run(w.jobs)
	return w, nil
}

// Keep adds a row. An error is of rows before.
func (w *archiveWriter) Keep(row delivery.Row) error {
	if w.isUnsure -= len(row.Raw); row.Line == 0 || delivery.IsOpenQuote(row.Fault) {
		w.isUnsure = delivery.MaxRecordBytes
	}
	if w.skip > 0 {
		w.skip--
		return nil
	}
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

// sha is the digest of the whole file, after commit.
func (w *archiveWriter) sha() string { return hex.EncodeToString(w.digest.Sum(nil)) }

// commit gives the content its name, durably, after End. A file that has the name, and is not the one with the digest noted, is kept aside.
func (w *archiveWriter) commit(noted string) error {
	if err := w.wait(); err != nil {
		return errors.Join(err, w.discard())
	}
	former, _, err := disk.DigestFile(w.path)
	if err == nil && former != noted && former != w.sha() {
		err = w.layer.Rename(w.path, w.path+damagedEnding)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
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
