package pipeline

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/ledger"
)

// openTestLedger opens a ledger in memory that closes with the test.
func openTestLedger(t *testing.T) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(t.Context(), "")
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, l.Close()) })
	return l
}

func TestLedgerInsertsAndReadsRecords(t *testing.T) {
	l := openTestLedger(t)
	ctx := t.Context()
	require.NoError(t, l.Exec(ctx, "create table t (name varchar, lb double, seen_at timestamptz)"))
	schema := arrow.NewSchema([]arrow.Field{
		{Name: "lb", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
		{Name: "name", Type: arrow.BinaryTypes.String, Nullable: true},
		{Name: "seen_at", Type: &arrow.TimestampType{Unit: arrow.Microsecond, TimeZone: "UTC"}, Nullable: true},
	}, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	b.Field(0).(*array.Float64Builder).AppendValues([]float64{12.5, 0}, []bool{true, false})
	b.Field(1).(*array.StringBuilder).AppendValues([]string{"salt", "cma"}, nil)
	b.Field(2).(*array.TimestampBuilder).AppendValues([]arrow.Timestamp{1_700_000_000_000_000, 0}, []bool{true, false})
	reader, err := array.NewRecordReader(schema, []arrow.RecordBatch{b.NewRecordBatch()})
	require.NoError(t, err)
	require.NoError(t, l.InTx(ctx, func() error { return l.InsertRecords(ctx, "t", reader) }))

	type row struct {
		Name string     `db:"name"`
		LB   *float64   `db:"lb"`
		At   *time.Time `db:"seen_at"`
	}
	rows, err := ledger.ReadTable[row](ctx, l, "select seen_at, name, lb from t order by name desc")
	require.NoError(t, err)
	require.Len(t, rows, 2)
	assert.Equal(t, "salt", rows[0].Name)
	require.NotNil(t, rows[0].LB)
	assert.Equal(t, 12.5, *rows[0].LB)
	require.NotNil(t, rows[0].At)
	assert.Equal(t, int64(1_700_000_000), rows[0].At.Unix())
	assert.Nil(t, rows[1].LB)
	assert.Nil(t, rows[1].At)

	var read int64
	require.NoError(t, l.ReadRecords(ctx, "select * from t", func(r array.RecordReader) error {
		for r.Next() {
			read += r.RecordBatch().NumRows()
		}
		return r.Err()
	}))
	assert.Equal(t, int64(2), read)
}

// TestReadTableTakesWhatFits: every kind of value that tables hold comes as what it is, or as a fault that names the column.
func TestReadTableTakesWhatFits(t *testing.T) {
	l := openTestLedger(t)
	type row struct {
		Sum   int64      `db:"whole"`
		Mean  float64    `db:"mean"`
		Count float64    `db:"count"`
		Is    bool       `db:"is"`
		Day   *time.Time `db:"day"`
		Word  *string    `db:"word"`
	}
	rows, err := ledger.ReadTable[row](t.Context(), l,
		`select sum(n) as whole, sum(n) / 4 as mean, count(*) as count, bool_and(n < 0) as is, date '2030-02-28' as day, max(word) as word
		from (values (-9000000000000, 'b'), (-3, null)) as given (n, word) group by n order by n`)
	require.NoError(t, err)
	require.Len(t, rows, 2)
	assert.Equal(t, []any{int64(-9000000000000), -2.25e12, 1.0, true}, []any{rows[0].Sum, rows[0].Mean, rows[0].Count, rows[0].Is})
	assert.Equal(t, "2030-02-28 00:00:00 +0000 UTC", rows[1].Day.String())
	assert.Equal(t, "b", *rows[0].Word)
	assert.Nil(t, rows[1].Word)
	for query, says := range map[string]string{
		"select cast(9223372036854775808 as hugeint) as whole": "column whole: a value of type decimal(38, 0) does not fit a field of " +
			"type int64",
		"select 'many' as whole": "column whole: a value of type utf8 does not fit a field of type int64",
		"select 1 as other":      "has no field for column other",
	} {
		_, err := ledger.ReadTable[row](t.Context(), l, query)
		assert.ErrorContains(t, err, says)
	}
}

// TestCastsRoundHalfToEven: queries make whole millionths by a cast alone, which rounds as round_even does and takes a tenth of its time.
func TestCastsRoundHalfToEven(t *testing.T) {
	l := openTestLedger(t)
	rapid.Check(t, func(r *rapid.T) {
		whole := rapid.Int64Range(-1<<51, 1<<51).Draw(r, "whole")
		value := float64(whole) + rapid.SampledFrom([]float64{0, 0.25, 0.5, 0.75}).Draw(r, "part")
		rows, err := ledger.ReadTable[struct {
			Cast int64 `db:"n"`
		}](t.Context(), l, "select cast(value as bigint) as n from (select cast('"+strconv.FormatFloat(value, 'f', -1, 64)+
			"' as double) as value)")
		require.NoError(r, err)
		assert.Equal(r, int64(math.RoundToEven(value)), rows[0].Cast, "%v", value)
	})
}

// TestZonesKeepToMinutes: local_dates asks for the date of each minute. Source: the time zone database, all zones from 1973 to 2037.
func TestZonesKeepToMinutes(t *testing.T) {
	zones, err := ledger.ReadTable[struct {
		Name string `db:"name"`
	}](t.Context(), openTestLedger(t), "select name from pg_timezone_names() order by name")
	require.NoError(t, err)
	known := 0
	for _, zone := range zones {
		place, err := time.LoadLocation(zone.Name)
		if err != nil {
			continue // a name of DuckDB's own, which settings refuse
		}
		known++
		end := time.Date(2038, 1, 1, 0, 0, 0, 0, time.UTC)
		for at := time.Date(1973, 1, 1, 0, 0, 0, 0, time.UTC).In(place); !at.IsZero() && at.Before(end); _, at = at.ZoneBounds() {
			_, offset := at.Zone()
			assert.Zero(t, offset%60, "%s from %s", zone.Name, at)
			assert.Zero(t, at.Unix()%60, "%s from %s", zone.Name, at)
		}
	}
	assert.Greater(t, known, 400)
}

// TestViewsTakeTheNamesOfOlderTables: a ledger of an earlier version has tables where queries now make views, and views where tables.
func TestViewsTakeTheNamesOfOlderTables(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, l.Exec(t.Context(), "create table observations_used as select 1 as n"))
	require.NoError(t, l.Exec(t.Context(), "create view storm_passes as select 1 as n"))
	require.NoError(t, l.InTx(t.Context(), func() error { return tallyAll(t.Context(), l) }))
	require.NoError(t, l.InTx(t.Context(), func() error { return tallyAll(t.Context(), l) }), "a view takes its own place")
	views, err := ledger.ReadTable[struct {
		Name string `db:"name"`
	}](t.Context(), l, "select view_name as name from duckdb_views() where view_name in ('observations_used', 'storm_passes')")
	require.NoError(t, err)
	require.Len(t, views, 1)
	assert.Equal(t, "observations_used", views[0].Name)
}

func TestLedgerRollsBack(t *testing.T) {
	l := openTestLedger(t)
	ctx := t.Context()
	require.NoError(t, l.Exec(ctx, "create table t (n integer)"))
	err := l.InTx(ctx, func() error {
		require.NoError(t, l.Exec(ctx, "insert into t values (1)"))
		return context.DeadlineExceeded
	})
	require.ErrorIs(t, err, context.DeadlineExceeded)
	rows, err := ledger.ReadTable[struct {
		N int64 `db:"n"`
	}](ctx, l, "select count(*) as n from t")
	require.NoError(t, err)
	require.Len(t, rows, 1)
	assert.Zero(t, rows[0].N)
}

func TestLedgerReachesNothingOutside(t *testing.T) {
	dir := t.TempDir()
	secret := filepath.Join(dir, "secret.csv")
	require.NoError(t, os.WriteFile(secret, []byte("a\n1\n"), 0o600))
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, l.Close()) })
	for _, escape := range []string{
		"select * from read_csv(" + ledger.QuoteText(secret) + ")",
		"select * from " + ledger.QuoteText(secret),
		"copy (select 1) to " + ledger.QuoteText(filepath.Join(dir, "out.csv")),
		"attach " + ledger.QuoteText(filepath.Join(dir, "other.duckdb")),
		"install httpfs",
		"load spatial",
		"set enable_external_access = true",
		"set lock_configuration = false",
	} {
		assert.Error(t, l.Exec(t.Context(), escape), escape)
	}
	assert.NoFileExists(t, filepath.Join(dir, "out.csv"))
}
