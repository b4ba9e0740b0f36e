package delivery

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/decimal128"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func parquetFile(t *testing.T, fields []arrow.Field, fill func(*array.RecordBuilder)) string {
	t.Helper()
	builder := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	fill(builder)
	record := builder.NewRecordBatch()
	var out bytes.Buffer
	w, err := pqarrow.NewFileWriter(record.Schema(), &out, parquet.NewWriterProperties(), pqarrow.DefaultWriterProps())
	require.NoError(t, err)
	require.NoError(t, w.Write(record))
	require.NoError(t, w.Close())
	return out.String()
}

func numbers(t *testing.T, count int) string {
	return parquetFile(t, []arrow.Field{{Name: "n", Type: arrow.PrimitiveTypes.Int64}}, func(b *array.RecordBuilder) {
		for i := range count {
			b.Field(0).(*array.Int64Builder).Append(int64(i) + 10_000_000)
		}
	})
}

func TestParquetValuesAsText(t *testing.T) {
	at := time.Date(2030, 1, 15, 6, 30, 0, 250_000_000, time.UTC)
	fields := []arrow.Field{
		{Name: "text", Type: arrow.BinaryTypes.String, Nullable: true},
		{Name: "number", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
		{Name: "single", Type: arrow.PrimitiveTypes.Float32, Nullable: true},
		{Name: "whole", Type: arrow.PrimitiveTypes.Int32, Nullable: true},
		{Name: "yes", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
		{Name: "instant", Type: &arrow.TimestampType{Unit: arrow.Microsecond, TimeZone: "UTC"}, Nullable: true},
		{Name: "wall", Type: &arrow.TimestampType{Unit: arrow.Microsecond}, Nullable: true},
		{Name: "day", Type: arrow.FixedWidthTypes.Date32, Nullable: true},
		{Name: "money", Type: &arrow.Decimal128Type{Precision: 9, Scale: 2}, Nullable: true},
	}
	file := parquetFile(t, fields, func(b *array.RecordBuilder) {
		micros := arrow.Timestamp(at.UnixMicro())
		b.Field(0).(*array.StringBuilder).Append(`a, "b"`)
		b.Field(1).(*array.Float64Builder).Append(0.1)
		b.Field(2).(*array.Float32Builder).Append(0.1)
		b.Field(3).(*array.Int32Builder).Append(-7)
		b.Field(4).(*array.BooleanBuilder).Append(true)
		b.Field(5).(*array.TimestampBuilder).Append(micros)
		b.Field(6).(*array.TimestampBuilder).Append(micros - 250_000)
		b.Field(7).(*array.Date32Builder).Append(arrow.Date32FromTime(at))
		b.Field(8).(*array.Decimal128Builder).Append(decimal128.FromI64(1250))
		for i := range fields {
			b.Field(i).AppendNull()
		}
	})
	root := folder(t, map[string]string{"all.parquet": file})
	r, err := Open(root, "all.parquet")
	require.NoError(t, err)
	assert.Equal(t, []string{"text", "number", "single", "whole", "yes", "instant", "wall", "day", "money"}, r.Header())
	require.True(t, r.Next(), r.Err())
	assert.Equal(t, []string{`a, "b"`, "0.1", "0.1", "-7", "true", "2030-01-15T06:30:00.25Z", "2030-01-15 06:30:00", "2030-01-15", "12.5"},
		r.Row().Cells)
	assert.Equal(t, `"a, ""b""",0.1,0.1,-7,true,2030-01-15T06:30:00.25Z,2030-01-15 06:30:00,2030-01-15,12.5`, string(r.Row().Raw))
	assert.Equal(t, int64(2), r.Row().Line)
	assert.Equal(t, r.Row().Cells, SplitRecord(r.Row().Raw))
	require.True(t, r.Next(), r.Err())
	assert.Equal(t, ",,,,,,,,", string(r.Row().Raw))
	require.False(t, r.Next())
	require.NoError(t, r.Err())
	content, err := Inspect(root, "all.parquet")
	require.NoError(t, err)
	digest, err := r.SHA256()
	require.NoError(t, err)
	assert.Equal(t, content.SHA256, digest)
	require.NoError(t, r.Close())
}

func TestParquetInSeveralBatches(t *testing.T) {
	root := folder(t, map[string]string{"many.parquet": numbers(t, 2*parquetBatchRows+3)})
	rows, err := allRows(root, "many.parquet")
	require.NoError(t, err)
	require.Len(t, rows, 2*parquetBatchRows+3)
	assert.Equal(t, "10002050", rows[2050])
}

// TestParquetThatExpands: what rows expand to counts, not what the file says of itself: a long text that many rows share, rows of nothing;
// and a description of a million columns is not read at all. A text that some rows share is read.
func TestParquetThatExpands(t *testing.T) {
	text := []arrow.Field{{Name: "note", Type: arrow.BinaryTypes.String, Nullable: true}}
	shared := func(rows, size int) string {
		return parquetFile(t, text, func(b *array.RecordBuilder) {
			for range rows {
				b.Field(0).(*array.StringBuilder).Append(strings.Repeat("x", size))
			}
		})
	}
	wide := "PAR1" + strings.Repeat("\x00", 5<<20) + "\x00\x00\x50\x00PAR1" // 5 MiB, little endian
	root := folder(t, map[string]string{"shared.parquet": shared(300, 60_000), "some.parquet": shared(250, 60_000), "wide.parquet": wide,
		"long.parquet": shared(3, 30<<20), "empty.parquet": parquetFile(t, text, func(b *array.RecordBuilder) {
			b.Field(0).(*array.StringBuilder).AppendNulls(1_100_000)
		})})
	for name, reason := range map[string]string{"shared.parquet": "expands too far", "some.parquet": "", "wide.parquet": faultWide.Reason(),
		"long.parquet": "", "empty.parquet": "expands too far"} {
		assert.Equal(t, reason, reasonOf(t, root, name), name)
	}
}

func TestParquetTypesThatAreNotRead(t *testing.T) {
	for name, kind := range map[string]arrow.DataType{
		"list":   arrow.ListOf(arrow.PrimitiveTypes.Int64),
		"nested": arrow.StructOf(arrow.Field{Name: "x", Type: arrow.PrimitiveTypes.Int64}),
		"bytes":  arrow.BinaryTypes.Binary,
		"time":   arrow.FixedWidthTypes.Time64us,
	} {
		file := parquetFile(t, []arrow.Field{{Name: "odd", Type: kind, Nullable: true}},
			func(b *array.RecordBuilder) { b.Field(0).AppendNull() })
		root := folder(t, map[string]string{name + ".parquet": file})
		assert.Equal(t, `column "odd" has a type that is not read`, reasonOf(t, root, name+".parquet"), name)
	}
}

func TestParquetDamaged(t *testing.T) {
	whole := numbers(t, 5000)
	root := folder(t, nil)
	path := filepath.Join(root.Name(), "cut.parquet")
	for size := 1; size < len(whole); size += 37 {
		require.NoError(t, os.WriteFile(path, []byte(whole[:size]), 0o644))
		assert.Equal(t, "damaged Parquet", reasonOf(t, root, "cut.parquet"), size)
	}
	for at := 4; at < len(whole); at += 37 {
		bytes := []byte(whole)
		bytes[at] ^= 0x55
		require.NoError(t, os.WriteFile(path, bytes, 0o644))
		reason := reasonOf(t, root, "cut.parquet")
		assert.True(t, reason == "" || reason == "damaged Parquet" || strings.HasSuffix(reason, "not read") || strings.HasPrefix(reason,
			"header row"), reason)
	}
}

func TestParquetTextFaults(t *testing.T) {
	file := parquetFile(t, []arrow.Field{{Name: "s", Type: arrow.BinaryTypes.String}, {Name: "x", Type: arrow.PrimitiveTypes.Float64}},
		func(b *array.RecordBuilder) {
			for _, text := range []string{"a\x00", strings.Repeat("y", MaxRecordBytes+1), "plain"} {
				b.Field(0).(*array.StringBuilder).Append(text)
				b.Field(1).(*array.Float64Builder).Append(math.NaN())
			}
		})
	rows, err := allRows(folder(t, map[string]string{"odd.parquet": file}), "odd.parquet")
	require.NoError(t, err)
	assert.Equal(t, []string{"!NUL byte in the line", "!line over 64 KiB", "plain|NaN"}, rows)
}
