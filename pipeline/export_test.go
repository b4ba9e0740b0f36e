package pipeline

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/release"
)

func TestNumberText(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want string
	}{
		{0, "0"}, {math.Copysign(0, -1), "0"}, {1234567, "1234567"}, {0.1, "0.1"}, {-2.5, "-2.5"}, {1e-7, "1e-07"}, {1e21, "1e+21"},
		{1.0 / 3, "0.3333333333333333"},
	} {
		got, err := release.NumberText(c.x)
		require.NoError(t, err)
		assert.Equal(t, c.want, got)
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := release.NumberText(x)
		assert.Error(t, err)
	}
}

func TestNumberTextGivesTheDoubleBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64().Draw(t, "x")
		text, err := release.NumberText(x)
		require.NoError(t, err)
		back, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		assert.Equal(t, x+0, back)
	})
}

func TestInertText(t *testing.T) {
	for in, want := range map[string]string{"": "", "salt": "salt", "=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@x": "'@x", "\tx": "'\tx",
		"\rx": "'\rx", "a=1": "a=1", "'q": "'q"} {
		assert.Equal(t, want, release.InertText(in))
	}
}

// TestWriteExport writes one record of every type that an export may hold, and reads both forms back.
func TestWriteExport(t *testing.T) {
	l := openTestLedger(t)
	stem := filepath.Join(t.TempDir(), "sample")
	query := `select 'a,"b"' as name, '=x' as formula, 1.25::double as lb, null::double as missing, true as is_open, 7::bigint as passes,
		timestamptz '2029-01-14 03:10:00+00' as began_at, date '2029-01-14' as local_date`
	require.NoError(t, l.ReadRecords(t.Context(), query,
		func(r array.RecordReader) error { return release.WriteExport(disk.Layer{}, stem, r) }))
	text, err := os.ReadFile(stem + ".csv")
	require.NoError(t, err)
	assert.Equal(t,
		"name,formula,lb,missing,is_open,passes,began_at,local_date\n\"a,\"\"b\"\"\",'=x,1.25,,true,7,2029-01-14T03:10:00Z,2029-01-14\n",
		string(text))
	reader, err := file.OpenParquetFile(stem+".parquet", false)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, reader.Close()) })
	assert.Equal(t, int64(1), reader.NumRows())
	assert.Equal(t, 8, reader.MetaData().Schema.NumColumns())
}

func TestWriteExportRefusesNumbersThatAreNotFinite(t *testing.T) {
	l := openTestLedger(t)
	err := l.ReadRecords(t.Context(), "select 'nan'::double as rate_lb_per_lane_mi", func(r array.RecordReader) error {
		return release.WriteExport(disk.Layer{}, filepath.Join(t.TempDir(), "bad"), r)
	})
	require.ErrorContains(t, err, "rate_lb_per_lane_mi")
}
