package intake

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
)

// ErrArchiveDamaged says that a content cannot be read from the archive.
var ErrArchiveDamaged = errors.New("archive file damaged or missing; restore it from a backup, or deliver the file again")

// ArchiveReader reads the rows of one content back, from one file or, one behind the other, from those that it is an addition to and its
// own. Each is held against its digest and number of rows.
type ArchiveReader struct {
	ctx     context.Context
	dir     string
	parts   []manifestLine // the file that is open, and those to come
	reports bool           // each row is one report, not a CSV record
	file    *os.File
	records pqarrow.RecordReader
	batch   arrow.RecordBatch
	at      int
	count   int64
	row     delivery.Row
	err     error
}

// isArchived tells whether all files of a content are there, and, where asked for, are what was written.
func (m *Manifest) isArchived(content ContentKey, isChecked bool) bool {
	parts, err := m.parts(content)
	for _, part := range parts {
		info, missing := os.Stat(part.path(m.dir))
		if missing != nil || !info.Mode().IsRegular() || isChecked && part.check(m.dir) != nil {
			return false
		}
	}
	return err == nil
}

func (l *manifestLine) key() ContentKey { return ContentKey{l.Feed, l.SHA256} }

// path is the archive's file of the line's content.
func (l *manifestLine) path(dir string) string { return archivePath(dir, l.key()) }

// check holds that file against its digest, where it has one.
func (l *manifestLine) check(dir string) error {
	sha, _, err := disk.DigestFile(l.path(dir))
	if errors.Is(err, fs.ErrNotExist) || err == nil && l.Archived != "" && sha != l.Archived {
		return ErrArchiveDamaged
	}
	return err
}

// OpenArchive opens a content of the archive; the caller closes the reader.
func (m *Manifest) OpenArchive(ctx context.Context, content ContentKey) (*ArchiveReader, error) {
	parts, err := m.parts(content)
	if err != nil {
		return nil, err
	}
	r := &ArchiveReader{ctx: ctx, dir: m.dir, parts: parts, reports: content.isReports()}
	if err := r.open(); err != nil {
		return nil, errors.Join(err, r.Close())
	}
	return r, nil
}

// open opens the file of the first part.
func (r *ArchiveReader) open() (err error) {
	part := &r.parts[0]
	if err = part.check(r.dir); err == nil {
		r.file, err = os.Open(part.path(r.dir))
	}
	if err == nil {
		err = r.begin()
	}
	if err != nil {
		return fmt.Errorf("%s: %w", part.path(r.dir), err)
	}
	return nil
}

func (r *ArchiveReader) begin() (err error) {
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
	r.batch = nil
	if r.records, err = tables.GetRecordReader(r.ctx, nil, nil); err != nil {
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
	for r.err == nil {
		err := r.step()
		if err == nil {
			return true
		}
		if errors.Is(err, io.EOF) {
			err = r.endPart()
		}
		if errors.Is(err, io.EOF) {
			return false
		}
		if err != nil {
			r.err = fmt.Errorf("%s: %w", r.parts[0].path(r.dir), err)
		}
	}
	return false
}

// endPart goes on to the next file; io.EOF behind the last.
func (r *ArchiveReader) endPart() error {
	if wanted := r.parts[0].Rows; r.count != wanted {
		return fmt.Errorf("%d rows where the manifest has %d: %w", r.count, wanted, ErrArchiveDamaged)
	}
	if len(r.parts) == 1 {
		return io.EOF
	}
	if err := r.Close(); err != nil {
		return err
	}
	r.parts = r.parts[1:]
	if err := r.open(); err != nil {
		r.err = err
	}
	return nil
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
	r.count += r.row.Count()
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
	if r.file == nil {
		return nil
	}
	if err := r.file.Close(); err != nil && !errors.Is(err, os.ErrClosed) {
		return err
	}
	return nil
}
