package pipeline

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// writtenPart and written have one field of every kind that tables are written from.
type writtenPart struct {
	Text   string `db:"text"`
	Hidden string
	Flag   *bool `db:"flag"`
}

type written struct {
	ID int64 `db:"id"`
	writtenPart
	Lb    *float64  `db:"lb"`
	Raw   []byte    `db:"raw"`
	Day   time.Time `db:"day"`
	SeenA time.Time `db:"seen_at"`
}

// TestTablesAreWrittenFromStructs: the database itself says what arrived; "" and nil are NULL, fields of an embedded struct stand in their
// place.
func TestTablesAreWrittenFromStructs(t *testing.T) {
	l, ctx := openTestLedger(t), t.Context()
	yes, lb, at := true, 0.5, time.Date(2030, 1, 2, 3, 4, 5, 6000, time.UTC)
	rows := []written{{ID: 7, writtenPart: writtenPart{Text: "salt", Hidden: "x", Flag: &yes}, Lb: &lb, Raw: []byte{0, 255}, Day: at,
		SeenA: at}, {ID: 8, Raw: []byte{}}}
	require.NoError(t, ledger.ReplaceTable(ctx, l, "made", []written{{ID: 1}}))
	require.NoError(t, ledger.ReplaceTable(ctx, l, "made", rows))
	assert.Equal(t, []string{"id BIGINT not null", "text VARCHAR", "flag BOOLEAN", "lb DOUBLE", "raw BLOB not null", "day DATE not null",
		"seen_at TIMESTAMP WITH TIME ZONE not null"},
		textRows(t, l, "select concat(column_name, ' ', data_type, if(is_nullable, '', ' not null')) from duckdb_columns() where "+
			"table_name = 'made' order by column_index"))
	assert.Equal(t, []string{`7|salt|true|0.5|\x00\xFF|2030-01-02|1893553445000006`, "8|-|-|-||0001-01-01|-62135596800000000"},
		textRows(t, l, "select id, coalesce(text, '-'), coalesce(flag::varchar, '-'), coalesce(lb::varchar, '-'), raw::varchar, "+
			"day::varchar, epoch_us(seen_at) from made order by id"))

	require.NoError(t, l.Exec(ctx, "create table kept (more varchar, day integer, text varchar not null)"))
	type part struct {
		Day  int64  `db:"day"`
		Text string `db:"text"`
	}
	require.NoError(t, ledger.AppendTable(ctx, l, "kept", []part{{3, "a"}}))
	require.NoError(t, ledger.AppendTable(ctx, l, "kept", []part(nil)))
	require.NoError(t, ledger.AppendTable(ctx, l, "kept", []part{{4, "b"}}))
	assert.Equal(t, []string{"-|3|a", "-|4|b"}, textRows(t, l, "select coalesce(more, '-'), day, text from kept order by day"))
	assert.ErrorContains(t, ledger.AppendTable(ctx, l, "kept", []part{{5, ""}}), "NOT NULL")
	assert.ErrorContains(t, ledger.ReplaceTable(ctx, l, "other", []struct {
		N int32 `db:"n"`
	}{{1}}), "other: n: no column type for int32")
}
