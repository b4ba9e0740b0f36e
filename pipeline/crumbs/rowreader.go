package crumbs

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"slices"

	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/file"

	"lanetally/pipeline/trace"
)

// fileRows reads the rows of a file in batches: the next in a goroutine of its own, while those of one are taken.
type fileRows struct {
	store *Store
	day   Day
	file  *os.File
	full  chan []Row // closed at the end of the rows
	empty chan []Row // closed when no more are wanted
	fault error      // once full is closed, what ended the rows early
	batch []Row
	at    int
}

// A file that is being read holds so many batches in memory, each of so many rows.
const (
	readBatches = 2
	readRows    = 8 << 10
)

// openRows opens the file of a day at its first row; nil where there is none.
func openRows(store *Store, day Day) (*fileRows, error) {
	r := &fileRows{store: store, day: day}
	err := store.check(day)
	if err != nil {
		return nil, err
	}
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
	if parquetFile.MetaData().Schema.NumColumns() != schema.NumFields() {
		return ErrDamaged
	}
	r.full, r.empty = make(chan []Row, readBatches), make(chan []Row, readBatches)
	for range readBatches {
		r.empty <- nil
	}
	go r.read(&rowDecoder{names: r.store.names, file: parquetFile})
	return r.next()
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
	r.empty <- r.batch
	if err := r.next(); err != nil {
		return fmt.Errorf("%s: %w", r.day.path(), err)
	}
	return nil
}

// next takes the next batch; at the end it is empty.
func (r *fileRows) next() error {
	r.at = 0
	if batch, more := <-r.full; more {
		r.batch = batch
		return nil
	}
	r.batch = nil
	return r.fault
}

// read fills batches until the rows end or no more are wanted.
func (r *fileRows) read(from *rowDecoder) {
	defer close(r.full)
	for batch := range r.empty {
		if batch, r.fault = from.decode(batch[:0]); r.fault != nil || len(batch) == 0 {
			return
		}
		r.full <- batch
	}
}

// close ends the reading and closes the file. Parquet's own reader may have closed it already.
func (r *fileRows) close() error {
	if r.empty != nil {
		close(r.empty)
		for range r.full {
		}
	}
	if err := r.file.Close(); err != nil && !errors.Is(err, os.ErrClosed) {
		return err
	}
	return nil
}

// rowDecoder turns the columns of a file into rows, a column at a time.
type rowDecoder struct {
	names   *Names
	file    *file.Reader
	group   int                      // the next row group
	columns []file.ColumnChunkReader // of the one at hand
	left    int                      // rows of it

	levels  [readRows]int16 // of a column that may be empty: 1 where it is not
	numbers [readRows]float64
	whole   [readRows]int64
	flags   [readRows]bool
	texts   [readRows]parquet.ByteArray
}

// decode adds the next rows; none at the end.
func (d *rowDecoder) decode(rows []Row) (_ []Row, err error) {
	defer damagedOnPanic(&err)
	for d.left == 0 {
		if d.group == d.file.NumRowGroups() {
			return nil, nil
		}
		if err := d.openGroup(); err != nil {
			return nil, err
		}
	}
	rows = slices.Grow(rows, readRows)[:min(readRows, d.left)]
	d.left -= len(rows)
	asIs := func(number int64) int64 { return number }
	faults := []error{
		fill(d, rows, columnOf[int64]{atColumn, func(r *Row) *int64 { return &r.Point.AtMS }}, d.whole[:], 0, asIs),
		fill(d, rows, columnOf[int64]{lineColumn, func(r *Row) *int64 { return &r.Line }}, d.whole[:], 0, asIs),
	}
	for _, column := range numberColumns {
		faults = append(faults, fill(d, rows, column, d.numbers[:], math.NaN(), func(number float64) float64 { return number }))
	}
	for _, column := range flagColumns {
		faults = append(faults, fill(d, rows, column, d.flags[:], trace.Unknown, trace.TriOf))
	}
	for _, column := range textColumns {
		faults = append(faults, fill(d, rows, column, d.texts[:], 0, d.numbering()))
	}
	return rows, errors.Join(faults...)
}

func (d *rowDecoder) openGroup() error {
	group := d.file.RowGroup(d.group)
	d.columns, d.left = d.columns[:0], int(group.NumRows())
	for i := range schema.NumFields() {
		column, err := group.Column(i)
		if err != nil {
			return ErrDamaged
		}
		d.columns = append(d.columns, column)
	}
	d.group++
	return nil
}

// batchReader is the reader of a column whose values are of a type.
type batchReader[V any] interface {
	ReadBatch(rows int64, values []V, levels, _ []int16) (read int64, count int, err error)
}

// fill reads a column of the rows into values and gives each row what it makes of its own, or missing.
func fill[V, T any](d *rowDecoder, rows []Row, column columnOf[T], values []V, missing T, of func(V) T) error {
	read, count, err := d.columns[column.number].(batchReader[V]).ReadBatch(int64(len(rows)), values, d.levels[:], nil)
	if err != nil || read != int64(len(rows)) {
		return ErrDamaged
	}
	next, isNullable := 0, schema.Field(column.number).Nullable
	for i := range rows {
		if isNullable && d.levels[i] == 0 {
			*column.of(&rows[i]) = missing
			continue
		}
		*column.of(&rows[i]) = of(values[next])
		next++
	}
	if next != count {
		return ErrDamaged
	}
	return nil
}

// numbering gives texts their numbers; most rows carry the same as the row before.
func (d *rowDecoder) numbering() func(parquet.ByteArray) int32 {
	last, number := "", int32(0) // the number of the empty text
	return func(text parquet.ByteArray) int32 {
		if string(text) != last {
			last = string(text)
			number = d.names.Number(last)
		}
		return number
	}
}
