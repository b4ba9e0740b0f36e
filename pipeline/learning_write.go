package pipeline

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

// tableType is how a Go type stands in the ledger.
type tableType struct {
	sql    string
	arrow  arrow.DataType
	append func(array.Builder, reflect.Value)
}

var tableTypes = map[reflect.Type]tableType{
	reflect.TypeFor[string](): {"varchar", arrow.BinaryTypes.String, func(b array.Builder, v reflect.Value) {
		b.(*array.StringBuilder).Append(v.String())
	}},
	reflect.TypeFor[float64](): {"double", arrow.PrimitiveTypes.Float64, func(b array.Builder, v reflect.Value) {
		b.(*array.Float64Builder).Append(v.Float())
	}},
	reflect.TypeFor[int64](): {"bigint", arrow.PrimitiveTypes.Int64, func(b array.Builder, v reflect.Value) {
		b.(*array.Int64Builder).Append(v.Int())
	}},
	reflect.TypeFor[bool](): {"boolean", arrow.FixedWidthTypes.Boolean, func(b array.Builder, v reflect.Value) {
		b.(*array.BooleanBuilder).Append(v.Bool())
	}},
	reflect.TypeFor[time.Time](): {"date", arrow.FixedWidthTypes.Date32, func(b array.Builder, v reflect.Value) {
		b.(*array.Date32Builder).Append(arrow.Date32FromTime(v.Interface().(time.Time)))
	}},
}

// replaceTable makes table anew from rows, one column per `db` tag of T, in order. A pointer field is a column that may be
// empty; a time is a date; any other field is required.
func replaceTable[T any](ctx context.Context, l *Ledger, table string, rows []T) error {
	t := reflect.TypeFor[T]()
	var columns []string
	var fields []arrow.Field
	for i := range t.NumField() {
		name := t.Field(i).Tag.Get("db")
		kind, isOptional, err := tableTypeOf(t.Field(i).Type)
		if err != nil {
			return fmt.Errorf("%s: %s: %w", table, name, err)
		}
		column := quoteName(name) + " " + kind.sql
		if !isOptional {
			column += " not null"
		}
		columns = append(columns, column)
		fields = append(fields, arrow.Field{Name: name, Type: kind.arrow, Nullable: isOptional})
	}
	if err := l.Exec(ctx, "create or replace table "+quoteName(table)+" ("+strings.Join(columns, ", ")+")"); err != nil {
		return fmt.Errorf("%s: %w", table, err)
	}
	if len(rows) == 0 {
		return nil
	}
	return insertStructs(ctx, l, table, arrow.NewSchema(fields, nil), reflect.ValueOf(rows))
}

func tableTypeOf(t reflect.Type) (kind tableType, isOptional bool, err error) {
	if isOptional = t.Kind() == reflect.Pointer; isOptional {
		t = t.Elem()
	}
	kind, known := tableTypes[t]
	if !known {
		return kind, isOptional, fmt.Errorf("no column type for %s", t)
	}
	return kind, isOptional, nil
}

func insertStructs(ctx context.Context, l *Ledger, table string, schema *arrow.Schema, rows reflect.Value) error {
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	for i := range rows.Len() {
		for j := range rows.Index(i).NumField() {
			appendCell(b.Field(j), rows.Index(i).Field(j))
		}
	}
	record := b.NewRecordBatch()
	defer record.Release()
	reader, err := array.NewRecordReader(schema, []arrow.RecordBatch{record})
	if err != nil {
		return fmt.Errorf("%s: %w", table, err)
	}
	defer reader.Release()
	return l.insertRecords(ctx, table, reader)
}

func appendCell(b array.Builder, value reflect.Value) {
	if value.Kind() == reflect.Pointer {
		if value.IsNil() {
			b.AppendNull()
			return
		}
		value = value.Elem()
	}
	tableTypes[value.Type()].append(b, value)
}
