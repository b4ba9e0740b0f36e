package ledger

import (
	"math"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"

	"lanetally/pipeline/contract"
)

// Finite gives the value, or nil for what is not a finite number: exports hold no NaN.
func Finite(value float64) *float64 {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return nil
	}
	return &value
}

// A batch of rows on their way into the ledger ends at the first of these.
const (
	BatchRows  = 8192
	BatchBytes = 8 << 20
)

var InstantType = &arrow.TimestampType{Unit: arrow.Microsecond, TimeZone: "UTC"}

// ArrowField is how a column of a contract travels into the ledger.
func ArrowField(field *contract.Field) arrow.Field {
	kind := arrow.DataType(arrow.BinaryTypes.String)
	switch field.Type {
	case "number", "integer":
		kind = arrow.PrimitiveTypes.Float64
	case "datetime":
		kind = InstantType
	case "date":
		kind = arrow.FixedWidthTypes.Date32
	case "boolean":
		kind = arrow.FixedWidthTypes.Boolean
	}
	return arrow.Field{Name: field.Name, Type: kind, Nullable: true}
}

// AppendValue adds one value to the builder of its column.
func AppendValue(to array.Builder, value contract.Value) {
	if value.Null {
		to.AppendNull()
		return
	}
	switch to := to.(type) {
	case *array.StringBuilder:
		to.Append(value.Text)
	case *array.Float64Builder:
		to.Append(value.Number)
	case *array.TimestampBuilder:
		to.Append(arrow.Timestamp(value.Micros))
	case *array.Date32Builder:
		to.Append(arrow.Date32(value.Micros))
	case *array.BooleanBuilder:
		to.Append(value.Bool)
	}
}
