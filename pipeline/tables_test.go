package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// The pencil district goes in whole: settings, reference tables and every delivered row.
func TestPencilDistrictLoadsWhole(t *testing.T) {
	const dir = "../testdata/tiny"
	ctx := t.Context()
	l := openTestLedger(t)
	settings, err := district.ReadSettings(dir + "/district.toml")
	require.NoError(t, err)
	reference, err := district.ReadReference(dir, settings)
	require.NoError(t, err)
	require.NoError(t, district.LoadRun(ctx, l, settings))
	require.NoError(t, district.LoadReference(ctx, l, reference))
	require.NoError(t, district.LoadReference(ctx, l, reference), "a second night fills the tables anew")
	summary, err := intake.CheckDeliveries(ctx, l, dir, settings)
	require.NoError(t, err)
	require.NoError(t, walk(ctx, l, settings, stretchTell, stretchTell))
	require.NoError(t, checkConservation(ctx, l))
	assert.Equal(t, 3, summary.Files)
	assert.Equal(t, []string{"0"}, textRows(t, l, "select sum(rows_read - accepted) from intake"))
	assert.Equal(t, []string{"America/Denver|6.0|14.0"}, textRows(t, l, "select time_zone, storm_gap_h, keep_releases from run"))
	for i := range reference.Tables {
		table := &reference.Tables[i]
		rows := textRows(t, l, "select * from "+ledger.QuoteName(table.TableName))
		assert.Len(t, rows, len(table.Rows), table.TableName)
	}
	assert.Equal(t, []string{"r1|1.0", "r2|1.0", "r3|1.0"}, textRows(t, l, "select route_id, lanes_per_pass from routes order by route_id"))
}

// Tables of another layout are made anew and filled from the archive.
func TestOtherLayoutIsFilledAgain(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.night()
	require.NoError(t, d.ledger.Exec(t.Context(), "update delivery_layout set hash = 'of another program'"))
	require.NoError(t, d.ledger.Exec(t.Context(), "alter table raw_passes drop column note"))
	summary := d.night()
	assert.Equal(t, int64(1), summary.Rows)
	assert.Equal(t, []string{"id:p1|"}, d.rows("select pass_key, note from passes"))
}
