package ledger

import (
	"context"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
)

// ReplaceTable makes table anew from rows, one column per `db` tag of T, in order. A text and a pointer are columns that may be empty; any
// other field is required.
func ReplaceTable[T any](ctx context.Context, l *Ledger, table string, rows []T) error {
	columns, err := columnsToWrite(reflect.TypeFor[T]())
	if err != nil {
		return fmt.Errorf("%s: %w", table, err)
	}
	var ddl []string
	for _, column := range columns {
		text := QuoteName(column.name) + " " + column.kind.sql
		if !column.mayBeEmpty {
			text += " not null"
		}
		ddl = append(ddl, text)
	}
	if err := l.Exec(ctx, "create or replace table "+QuoteName(table)+" ("+strings.Join(ddl, ", ")+")"); err != nil {
		return fmt.Errorf("%s: %w", table, err)
	}
	return AppendTable(ctx, l, table, rows)
}

// AppendTable adds rows to a table, whose columns are matched by the `db` tags of T. A nil pointer and the text "" are empty in the table,
// and so is a column that T does not name. A time is an instant in a column whose name ends in _at and in a field tagged `is:"instant"`,
// else a date.
func AppendTable[T any](ctx context.Context, l *Ledger, table string, rows []T) error {
	if len(rows) == 0 {
		return nil
	}
	columns, err := columnsToWrite(reflect.TypeFor[T]())
	if err != nil {
		return fmt.Errorf("%s: %w", table, err)
	}
	fields := make([]arrow.Field, len(columns))
	for i, column := range columns {
		fields[i] = arrow.Field{Name: column.name, Type: column.kind.arrow, Nullable: column.mayBeEmpty}
	}
	builder := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	builder.Reserve(len(rows))
	for i, column := range columns {
		column.fill(builder.Field(i), reflect.ValueOf(rows))
	}
	return l.InsertBuilt(ctx, table, builder)
}

// InsertBuilt appends to table what builder holds, and releases it.
func (l *Ledger) InsertBuilt(ctx context.Context, table string, builder *array.RecordBuilder) error {
	defer builder.Release()
	record := builder.NewRecordBatch()
	defer record.Release()
	records, err := array.NewRecordReader(builder.Schema(), []arrow.RecordBatch{record})
	if err != nil {
		return fmt.Errorf("%s: %w", table, err)
	}
	defer records.Release()
	return l.InsertRecords(ctx, table, records)
}

// columnKind is how fields of a Go type stand in a table; appender gives what adds one of them to a builder of the Arrow type.
type columnKind struct {
	sql      string
	arrow    arrow.DataType
	appender func(array.Builder) func(reflect.Value)
}

// instantKind is a time in a column whose name ends in _at.
var instantKind = columnKind{"timestamptz", InstantType, func(to array.Builder) func(reflect.Value) {
	instants := to.(*array.TimestampBuilder)
	return func(v reflect.Value) { instants.Append(arrow.Timestamp(v.Addr().Interface().(*time.Time).UnixMicro())) }
}}

var columnKinds = map[reflect.Type]columnKind{
	reflect.TypeFor[string](): {"varchar", arrow.BinaryTypes.String, func(to array.Builder) func(reflect.Value) {
		texts := to.(*array.StringBuilder)
		return func(v reflect.Value) {
			if v.Len() == 0 {
				texts.AppendNull()
			} else {
				texts.Append(v.String())
			}
		}
	}},
	reflect.TypeFor[[]byte](): {"blob", arrow.BinaryTypes.Binary, func(to array.Builder) func(reflect.Value) {
		return func(v reflect.Value) { to.(*array.BinaryBuilder).Append(v.Bytes()) }
	}},
	reflect.TypeFor[float64](): {"double", arrow.PrimitiveTypes.Float64, func(to array.Builder) func(reflect.Value) {
		numbers := to.(*array.Float64Builder)
		return func(v reflect.Value) { numbers.Append(v.Float()) }
	}},
	reflect.TypeFor[int64](): {"bigint", arrow.PrimitiveTypes.Int64, func(to array.Builder) func(reflect.Value) {
		numbers := to.(*array.Int64Builder)
		return func(v reflect.Value) { numbers.Append(v.Int()) }
	}},
	reflect.TypeFor[bool](): {"boolean", arrow.FixedWidthTypes.Boolean, func(to array.Builder) func(reflect.Value) {
		truths := to.(*array.BooleanBuilder)
		return func(v reflect.Value) { truths.Append(v.Bool()) }
	}},
	reflect.TypeFor[time.Time](): {"date", arrow.FixedWidthTypes.Date32, func(to array.Builder) func(reflect.Value) {
		dates := to.(*array.Date32Builder)
		return func(v reflect.Value) { dates.Append(arrow.Date32FromTime(*v.Addr().Interface().(*time.Time))) }
	}},
}

// writtenColumn is a column of a table with the field that fills it.
type writtenColumn struct {
	name       string
	field      reflect.StructField
	kind       columnKind
	mayBeEmpty bool
}

func columnsToWrite(t reflect.Type) (columns []writtenColumn, err error) {
	for _, field := range taggedFields(t) {
		column := writtenColumn{name: field.Tag.Get("db"), field: field}
		plain := field.Type
		if plain.Kind() == reflect.Pointer {
			plain = plain.Elem()
		}
		if plain.Kind() == reflect.String { // such as a unit
			plain = reflect.TypeFor[string]()
		}
		var known bool
		if column.kind, known = columnKinds[plain]; !known {
			return nil, fmt.Errorf("%s: no column type for %s", column.name, plain)
		}
		if plain == reflect.TypeFor[time.Time]() && (strings.HasSuffix(column.name, "_at") || field.Tag.Get("is") == "instant") {
			column.kind = instantKind
		}
		column.mayBeEmpty = field.Type != plain || plain.Kind() == reflect.String
		columns = append(columns, column)
	}
	return columns, nil
}

// fill adds the column's field of all rows, a slice of structs, to its builder.
func (c *writtenColumn) fill(to array.Builder, rows reflect.Value) {
	add := c.kind.appender(to)
	isPointer := c.field.Type.Kind() == reflect.Pointer
	for row := range rows.Len() {
		value := rows.Index(row).FieldByIndex(c.field.Index)
		switch {
		case !isPointer:
			add(value)
		case value.IsNil():
			to.AppendNull()
		default:
			add(value.Elem())
		}
	}
}
