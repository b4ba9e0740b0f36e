package crumbs

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"strings"

	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/metadata"
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

// dayEnd is what a file says of its rows at its end: their latest time, and the contents they came from, nil where it does not say.
type dayEnd struct {
	lastMS   int64
	contents map[string]bool
}

// mayHave is false where the file has no rows of a content.
func (e dayEnd) mayHave(content string) bool { return e.contents == nil || e.contents[content] }

// endOf reads the end of a day's file. A file that is not there ends before everything; of one that cannot be read nothing is said, and its
// reading tells why.
func (s *Store) endOf(day Day) (end dayEnd) {
	unsaid := dayEnd{lastMS: math.MaxInt64}
	if s.check(day) != nil {
		return unsaid
	}
	in, err := os.Open(s.dir.path(day.path()))
	if errors.Is(err, fs.ErrNotExist) {
		return dayEnd{math.MinInt64, map[string]bool{}}
	}
	if err != nil {
		return unsaid
	}
	defer func() {
		if recover() != nil { // a damaged file
			end = unsaid
		}
		_ = in.Close() // only read
	}()
	parquetFile, err := file.NewParquetReader(in)
	if err != nil {
		return unsaid
	}
	end.lastMS = math.MinInt64
	for group := range parquetFile.NumRowGroups() {
		column, err := parquetFile.MetaData().RowGroup(group).ColumnChunk(atColumn)
		if err != nil {
			return unsaid
		}
		statistics, err := column.Statistics()
		times, ok := statistics.(*metadata.Int64Statistics)
		if err != nil || !ok || !times.HasMinMax() {
			return unsaid
		}
		end.lastMS = max(end.lastMS, times.Max())
	}
	if text := parquetFile.MetaData().KeyValueMetadata().FindValue(contentsKey); text != nil {
		end.contents = map[string]bool{}
		for content := range strings.FieldsSeq(*text) {
			end.contents[content] = true
		}
	}
	return end
}
