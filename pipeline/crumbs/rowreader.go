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
	return rows, errors.Join(
		d.fillWhole(rows, atColumn, func(r *Row) *int64 { return &r.Point.AtMS }),
		d.fillWhole(rows, lineColumn, func(r *Row) *int64 { return &r.Line }),
		d.fillNumbers(rows, latColumn, func(r *Row) *float64 { return &r.Point.Lat }),
		d.fillNumbers(rows, lonColumn, func(r *Row) *float64 { return &r.Point.Lon }),
		d.fillNumbers(rows, speedColumn, func(r *Row) *float64 { return &r.Point.SpeedMPH }),
		d.fillNumbers(rows, rateColumn, func(r *Row) *float64 { return &r.Point.RateLbPerLaneMi }),
		d.fillNumbers(rows, totalColumn, func(r *Row) *float64 { return &r.Point.TotalLb }),
		d.fillNumbers(rows, lanesColumn, func(r *Row) *float64 { return &r.Point.Lanes }),
		d.fillFlags(rows, spreadingColumn, func(r *Row) *trace.Tri { return &r.Point.Spreading }),
		d.fillFlags(rows, plowColumn, func(r *Row) *trace.Tri { return &r.Point.PlowDown }),
		d.fillTexts(rows, truckColumn, func(r *Row) *int32 { return &r.Truck }),
		d.fillTexts(rows, contentColumn, func(r *Row) *int32 { return &r.Content }),
		d.fillTexts(rows, materialColumn, func(r *Row) *int32 { return &r.Point.Material }),
		d.fillTexts(rows, crewColumn, func(r *Row) *int32 { return &r.Point.Crew }),
	)
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

// check holds what was read of a column against the rows that it has, and its values against those that are not empty.
func (d *rowDecoder) check(rows []Row, column int, read int64, values int, err error) error {
	want := len(rows)
	if schema.Field(column).Nullable {
		want = 0
		for _, level := range d.levels[:len(rows)] {
			want += int(level)
		}
	} else {
		for i := range rows {
			d.levels[i] = 1
		}
	}
	if err != nil || read != int64(len(rows)) || values != want {
		return ErrDamaged
	}
	return nil
}

func (d *rowDecoder) fillWhole(rows []Row, column int, to func(*Row) *int64) error {
	read, values, err := d.columns[column].(*file.Int64ColumnChunkReader).ReadBatch(int64(len(rows)), d.whole[:], d.levels[:], nil)
	if err := d.check(rows, column, read, values, err); err != nil {
		return err
	}
	for i := range rows {
		*to(&rows[i]) = d.whole[i]
	}
	return nil
}

func (d *rowDecoder) fillNumbers(rows []Row, column int, to func(*Row) *float64) error {
	read, values, err := d.columns[column].(*file.Float64ColumnChunkReader).ReadBatch(int64(len(rows)), d.numbers[:], d.levels[:], nil)
	if err := d.check(rows, column, read, values, err); err != nil {
		return err
	}
	next := 0
	for i := range rows {
		if d.levels[i] == 0 {
			*to(&rows[i]) = math.NaN()
			continue
		}
		*to(&rows[i]) = d.numbers[next]
		next++
	}
	return nil
}

func (d *rowDecoder) fillFlags(rows []Row, column int, to func(*Row) *trace.Tri) error {
	read, values, err := d.columns[column].(*file.BooleanColumnChunkReader).ReadBatch(int64(len(rows)), d.flags[:], d.levels[:], nil)
	if err := d.check(rows, column, read, values, err); err != nil {
		return err
	}
	next := 0
	for i := range rows {
		if d.levels[i] == 0 {
			*to(&rows[i]) = trace.Unknown
			continue
		}
		*to(&rows[i]) = trace.TriOf(d.flags[next])
		next++
	}
	return nil
}

// fillTexts gives each text its number; most rows carry the same as the row before.
func (d *rowDecoder) fillTexts(rows []Row, column int, to func(*Row) *int32) error {
	read, values, err := d.columns[column].(*file.ByteArrayColumnChunkReader).ReadBatch(int64(len(rows)), d.texts[:], d.levels[:], nil)
	if err := d.check(rows, column, read, values, err); err != nil {
		return err
	}
	number := int32(0)
	for i := range rows {
		if i == 0 || string(d.texts[i]) != string(d.texts[i-1]) {
			number = d.names.Number(string(d.texts[i]))
		}
		*to(&rows[i]) = number
	}
	return nil
}
