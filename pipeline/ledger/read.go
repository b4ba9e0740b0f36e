package ledger

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"

	"lanetally/pipeline/rows"
)

// ReadTable reads the rows that query gives into structs of type T, by the `db:"column"` tags of its fields.
// A pointer field takes an empty value as nil; any other field takes it as its zero. Fields of an embedded struct count as T's own.
// Instants are UTC.
func ReadTable[T any](ctx context.Context, l *Ledger, query string, args ...any) (out []T, err error) {
	err = l.readInto(ctx, reflect.ValueOf(&out).Elem(), query, args...)
	return out, err
}

// readInto appends the rows to a slice of structs.
func (l *Ledger) readInto(ctx context.Context, out reflect.Value, query string, args ...any) error {
	read := func(records array.RecordReader) error {
		fields, err := fieldsByColumn(out.Type().Elem(), records.Schema())
		if err != nil {
			return err
		}
		words := make([]wordList, len(fields))
		for records.Next() {
			record, before := records.RecordBatch(), out.Len()
			out.Grow(int(record.NumRows()))
			out.SetLen(before + int(record.NumRows()))
			rows := out.Slice(before, out.Len())
			for i, field := range fields {
				if err := setColumn(rows, field, record.Column(i), &words[i]); err != nil {
					return fmt.Errorf("column %s: %w", record.ColumnName(i), err)
				}
			}
		}
		return records.Err()
	}
	if err := l.ReadRecords(ctx, query, read, args...); err != nil {
		return fmt.Errorf("%s: %w", query, err)
	}
	return nil
}

// ReadInto is ReadTable into a slice that is there, so that several readings can be told as one list.
func ReadInto[T any](ctx context.Context, l *Ledger, to *[]T, query string, args ...any) (err error) {
	*to, err = ReadTable[T](ctx, l, query, args...)
	return err
}

// ReadColumn reads the one column of a query, which names it value.
func ReadColumn[T any](ctx context.Context, l *Ledger, query string, args ...any) ([]T, error) {
	rows, err := ReadTable[struct {
		Value T `db:"value"`
	}](ctx, l, query, args...)
	values := make([]T, len(rows))
	for i, row := range rows {
		values[i] = row.Value
	}
	return values, err
}

// TableColumns lists the `db` tags of T, in order.
func TableColumns[T any]() []string { return columnsOf(reflect.TypeFor[T]()) }

func columnsOf(t reflect.Type) []string {
	var columns []string
	for _, field := range taggedFields(t) {
		columns = append(columns, field.Tag.Get("db"))
	}
	return columns
}

// taggedFields are the fields with a `db` tag, in order, those of embedded structs in their place.
func taggedFields(t reflect.Type) []reflect.StructField {
	return slices.DeleteFunc(reflect.VisibleFields(t), func(field reflect.StructField) bool { return field.Tag.Get("db") == "" })
}

// fieldsByColumn gives for each column T's field with that tag.
func fieldsByColumn(t reflect.Type, columns *arrow.Schema) ([]reflect.StructField, error) {
	tagged := taggedFields(t)
	fields := make([]reflect.StructField, columns.NumFields())
	for i, column := range columns.Fields() {
		at := slices.IndexFunc(tagged, func(field reflect.StructField) bool { return field.Tag.Get("db") == column.Name })
		if at < 0 {
			return nil, fmt.Errorf("%s has no field for column %s", t, column.Name)
		}
		fields[i] = tagged[at]
	}
	return fields, nil
}

// setColumn sets a field of all rows, a slice of structs, to the values of column; it leaves the field where column is empty.
func setColumn(rows reflect.Value, field reflect.StructField, column arrow.Array, words *wordList) error {
	set, err := setterOf(column, field.Type, words)
	if err != nil {
		return err
	}
	for row := range rows.Len() {
		if !column.IsNull(row) {
			set(rows.Index(row).FieldByIndex(field.Index), row)
		}
	}
	return nil
}

// setterOf gives what sets a field of type t to the value of a row of column, which is not empty there.
func setterOf(column arrow.Array, t reflect.Type, words *wordList) (func(field reflect.Value, row int), error) {
	isPointer := t.Kind() == reflect.Pointer
	if isPointer {
		t = t.Elem()
	}
	set := valueSetter(column, t, words)
	if set == nil {
		return nil, fmt.Errorf("a value of type %s does not fit a field of type %s", column.DataType(), t)
	}
	if !isPointer {
		return set, nil
	}
	values := reflect.MakeSlice(reflect.SliceOf(t), column.Len(), column.Len()) // one piece of memory for all
	return func(field reflect.Value, row int) {
		set(values.Index(row), row)
		field.Set(values.Index(row).Addr())
	}, nil
}

// valueSetter is setterOf for fields that are no pointers; nil where the two types do not fit.
func valueSetter(column arrow.Array, t reflect.Type, words *wordList) func(field reflect.Value, row int) {
	if t == reflect.TypeFor[time.Time]() {
		return timeSetter(column)
	}
	switch t.Kind() {
	case reflect.String:
		if texts, ok := column.(*array.String); ok {
			return func(field reflect.Value, row int) { field.SetString(words.keep(texts.Value(row))) }
		}
	case reflect.Bool:
		if truths, ok := column.(*array.Boolean); ok {
			return func(field reflect.Value, row int) { field.SetBool(truths.Value(row)) }
		}
	case reflect.Int, reflect.Int32, reflect.Int64:
		return wholeSetter(column)
	case reflect.Float64:
		return floatSetter(column)
	}
	return nil
}

func timeSetter(column arrow.Array) func(field reflect.Value, row int) {
	switch times := column.(type) {
	case *array.Timestamp: // DuckDB's instants are microseconds
		return func(field reflect.Value, row int) {
			*field.Addr().Interface().(*time.Time) = time.UnixMicro(int64(times.Value(row))).UTC()
		}
	case *array.Date32:
		return func(field reflect.Value, row int) {
			*field.Addr().Interface().(*time.Time) = times.Value(row).ToTime()
		}
	}
	return nil
}

func wholeSetter(column arrow.Array) func(field reflect.Value, row int) {
	switch numbers := column.(type) {
	case *array.Int64:
		return func(field reflect.Value, row int) { field.SetInt(numbers.Value(row)) }
	case *array.Int32:
		return func(field reflect.Value, row int) { field.SetInt(int64(numbers.Value(row))) }
	case *array.Decimal128: // a sum of whole numbers
		if isWhole64(numbers) {
			return func(field reflect.Value, row int) { field.SetInt(int64(numbers.Value(row).LowBits())) }
		}
	}
	return nil
}

// isWhole64 tells whether all values are whole numbers that 64 bits hold.
func isWhole64(numbers *array.Decimal128) bool {
	if numbers.DataType().(*arrow.Decimal128Type).Scale != 0 {
		return false
	}
	for row := range numbers.Len() {
		if value := numbers.Value(row); !numbers.IsNull(row) && value.HighBits() != int64(value.LowBits())>>63 {
			return false
		}
	}
	return true
}

func floatSetter(column arrow.Array) func(field reflect.Value, row int) {
	switch numbers := column.(type) {
	case *array.Float64:
		return func(field reflect.Value, row int) { field.SetFloat(numbers.Value(row)) }
	case *array.Int64:
		return func(field reflect.Value, row int) { field.SetFloat(float64(numbers.Value(row))) }
	case *array.Int32:
		return func(field reflect.Value, row int) { field.SetFloat(float64(numbers.Value(row))) }
	case *array.Decimal128:
		scale := numbers.DataType().(*arrow.Decimal128Type).Scale
		return func(field reflect.Value, row int) { field.SetFloat(numbers.Value(row).ToFloat64(scale)) }
	}
	return nil
}

// mostWords is how many different texts a wordList knows again.
const mostWords = 1 << 12

// wordList keeps texts that come again and again, such as the ids of a column, once. Records give texts that end with them.
type wordList struct {
	last  string
	known map[string]string
}

func (w *wordList) keep(text string) string {
	if text == w.last {
		return w.last
	}
	kept, found := w.known[text]
	if !found {
		kept = strings.Clone(text)
		if w.known == nil {
			w.known = map[string]string{}
		}
		if len(w.known) < mostWords {
			w.known[kept] = kept
		}
	}
	w.last = kept
	return kept
}

// TextList is a list of texts in SQL.
func TextList(texts []string) string {
	quoted := make([]string, len(texts))
	for i, text := range texts {
		quoted[i] = QuoteText(text)
	}
	return "cast([" + strings.Join(quoted, ", ") + "] as varchar[])"
}

// findingColumns picks those columns of a table that belong to a finding: each table of findings has those that its codes have places for.
var findingColumns = "columns(lambda name: list_contains(" + TextList(TableColumns[rows.Finding]()) + ", name))"

// FillTables reads into each slice of a struct that has a tag `table:"name"` the columns that its rows tag, and of an embedded finding
// those that the table has; from says from which table or view.
func FillTables(ctx context.Context, l *Ledger, into any, from func(table string) string) error {
	finding, all := reflect.TypeFor[rows.Finding](), reflect.ValueOf(into).Elem()
	for at, list := range all.Fields() {
		table := at.Tag.Get("table")
		if table == "" {
			continue
		}
		var columns []string
		row := at.Type.Elem()
		for _, field := range reflect.VisibleFields(row) {
			if field.Type == finding {
				columns = append(columns, findingColumns)
			} else if tag := field.Tag.Get("db"); tag != "" && row.Field(field.Index[0]).Type != finding {
				columns = append(columns, QuoteName(tag))
			}
		}
		if err := l.readInto(ctx, list, "select "+strings.Join(columns, ", ")+" from "+QuoteName(from(table))); err != nil {
			return err
		}
	}
	return nil
}
