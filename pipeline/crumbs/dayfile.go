package crumbs

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/metadata"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
)

// dayFile is the file of one day: the rows it had, as a source, and, where they change, the rows it gets.
type dayFile struct {
	store   *Store
	encoder *encoder
	day     Day
	rows    *fileRows // nil where there is no file
	writer  *rowWriter
	passed  int   // rows that stayed as they were, ahead of the first change
	lastMS  int64 // of the truck at hand, its latest row in the file
}

func (f *dayFile) open() (err error) {
	f.rows, err = openRows(f.store, f.day)
	return err
}

func (f *dayFile) head() *Row {
	if f.rows == nil {
		return nil
	}
	return f.rows.head()
}

func (f *dayFile) step() error { return f.rows.step() }

func (f *dayFile) close() error {
	if f.rows == nil {
		return nil
	}
	return f.rows.close()
}

// startWriting begins the new file with the rows that stayed as they were.
func (f *dayFile) startWriting() (err error) {
	if f.writer != nil {
		return nil
	}
	if f.writer, err = newRowWriter(f.store, f.encoder, f.day); err != nil || f.passed == 0 {
		return err
	}
	old, err := openRows(f.store, f.day)
	if err != nil {
		return err
	}
	for range f.passed {
		row := old.head()
		if row == nil {
			return errors.Join(ErrDamaged, old.close())
		}
		if err := errors.Join(f.writer.add(row), old.step()); err != nil {
			return errors.Join(err, old.close())
		}
	}
	return old.close()
}

func (f *dayFile) add(rows []Row) error {
	if f.writer == nil {
		f.passed += len(rows)
		return nil
	}
	for i := range rows {
		if err := f.writer.add(&rows[i]); err != nil {
			return err
		}
	}
	return nil
}

// endWriting makes the new file durable, or leaves none where it has no rows.
func (f *dayFile) endWriting() error {
	if f.writer.rows == 0 {
		return f.writer.discard()
	}
	return f.writer.finish()
}

// endsBefore: no row of a day's file, if there is one, is as late as a time. False also where that cannot be told.
func (s *Store) endsBefore(day Day, ms int64) (isBefore bool) {
	in, err := os.Open(s.dir.path(day.path()))
	if err != nil {
		return errors.Is(err, fs.ErrNotExist)
	}
	defer func() {
		if recover() != nil { // a damaged file: its reading says so
			isBefore = false
		}
		_ = in.Close() // only read
	}()
	parquetFile, err := file.NewParquetReader(in)
	if err != nil {
		return false
	}
	for group := range parquetFile.NumRowGroups() {
		column, err := parquetFile.MetaData().RowGroup(group).ColumnChunk(atColumn)
		if err != nil {
			return false
		}
		statistics, err := column.Statistics()
		times, ok := statistics.(*metadata.Int64Statistics)
		if err != nil || !ok || !times.HasMinMax() || times.Max() >= ms {
			return false
		}
	}
	return true
}

// fileRows reads the rows of a file in batches.
type fileRows struct {
	store   *Store
	day     Day
	file    *os.File
	records pqarrow.RecordReader
	batch   []Row
	at      int
}

// readRows is the number of rows that a file being read holds in memory.
const readRows = 8 << 10

// openRows opens the file of a day at its first row; nil where there is none.
func openRows(store *Store, day Day) (*fileRows, error) {
	r := &fileRows{store: store, day: day}
	var err error
	if r.file, err = os.Open(store.dir.path(day.path())); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil
		}
		return nil, err
	}
	if err := r.begin(); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", day.path(), err), r.close())
	}
	return r, nil
}

func (r *fileRows) begin() (err error) {
	defer damagedOnPanic(&err)
	parquetFile, err := file.NewParquetReader(r.file)
	if err != nil {
		return ErrDamaged
	}
	properties := pqarrow.ArrowReadProperties{BatchSize: readRows}
	for _, column := range textColumns {
		properties.SetReadDict(column, true)
	}
	tables, err := pqarrow.NewFileReader(parquetFile, properties, memory.DefaultAllocator)
	if err != nil {
		return ErrDamaged
	}
	r.records, err = tables.GetRecordReader(context.Background(), nil, nil)
	if err != nil || r.records.Schema().NumFields() != schema.NumFields() {
		return ErrDamaged
	}
	return r.fill()
}

func damagedOnPanic(err *error) {
	if recover() != nil {
		*err = ErrDamaged
	}
}

func (r *fileRows) head() *Row {
	if r.at == len(r.batch) {
		return nil
	}
	return &r.batch[r.at]
}

func (r *fileRows) step() error {
	r.at++
	if r.at < len(r.batch) {
		return nil
	}
	if err := r.fill(); err != nil {
		return fmt.Errorf("%s: %w", r.day.path(), err)
	}
	return nil
}

// fill reads the next batch; at the end it is empty.
func (r *fileRows) fill() (err error) {
	defer damagedOnPanic(&err)
	r.batch, r.at = r.batch[:0], 0
	if !r.records.Next() {
		if err := r.records.Err(); err != nil && !errors.Is(err, io.EOF) {
			return ErrDamaged
		}
		return nil
	}
	r.batch = appendBatch(r.batch, r.records.RecordBatch(), r.store.names)
	return nil
}

// close closes the file. Parquet's own reader may have closed it already.
func (r *fileRows) close() error {
	if r.records != nil {
		r.records.Release()
	}
	if err := r.file.Close(); err != nil && !errors.Is(err, os.ErrClosed) {
		return err
	}
	return nil
}
