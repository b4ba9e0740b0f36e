package pipeline

import (
	"encoding/json"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/calibration"
	"lanetally/pipeline/ledger"
)

// TestDemoMoney: the demo's price change is found on its date, and every dollar of the passes is in the costs, the season and the routes.
func TestDemoMoney(t *testing.T) {
	d := runDemoNight(t)
	l, truth := d.ledger(t), d.truth

	type span struct {
		UsdPerTon float64   `db:"usd_per_ton"`
		First     time.Time `db:"first_date"`
		Last      time.Time `db:"last_date"`
	}
	spans, err := ledger.ReadTable[span](t.Context(), l, `select usd_per_ton, min(local_date) as first_date, max(local_date) as last_date
		from pass_costs where material_id = ? and season = '2028-29' group by usd_per_ton order by first_date`, truth.Price.MaterialID)
	require.NoError(t, err)
	require.Len(t, spans, 2)
	changed, err := time.Parse(time.DateOnly, truth.Price.FromDate)
	require.NoError(t, err)
	assert.Equal(t, truth.Price.BeforeUSD, spans[0].UsdPerTon)
	assert.True(t, spans[0].Last.Before(changed), "%v", spans[0])
	assert.Equal(t, truth.Price.AfterUSD, spans[1].UsdPerTon)
	assert.False(t, spans[1].First.Before(changed), "%v", spans[1])

	type sums struct {
		Passes int64 `db:"passes"`
		Costs  int64 `db:"costs"`
		Season int64 `db:"season"`
		Storms int64 `db:"storms"`
		Routes int64 `db:"routes"`
	}
	got, err := ledger.ReadTable[sums](t.Context(), l, `select
		(select cast(sum(cost_uusd) as bigint) from pass_costs) as passes,
		(select cast(sum(cast(round_even(usd * 1e6, 0) as bigint)) as bigint) from costs) as costs,
		(select cast(sum(cast(round_even(usd * 1e6, 0) as bigint)) as bigint) from season_costs) as season,
		(select cast(sum(cast(round_even(storms_usd * 1e6, 0) as bigint)) as bigint) from season_costs) as storms,
		(select cast(sum(cast(round_even(cost_usd * 1e6, 0) as bigint)) as bigint) from storm_routes) as routes`)
	require.NoError(t, err)
	require.Positive(t, got[0].Passes)
	assert.Equal(t, got[0].Passes, got[0].Costs)
	assert.Equal(t, got[0].Passes, got[0].Season)
	assert.Equal(t, got[0].Storms, got[0].Routes)
	checkDemoWater(t, l)
}

// checkDemoWater: the chloride of all watersheds, named or not, is the chloride of all passes, and the estimates name their basis.
func checkDemoWater(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	type water struct {
		Passes   int64 `db:"passes"`
		Storms   int64 `db:"storms"`
		Seasons  int64 `db:"seasons"`
		Baseless int64 `db:"baseless"`
		KeptOff  int64 `db:"kept_off"`
	}
	got, err := ledger.ReadTable[water](t.Context(), l, `select
		(select cast(sum(chloride_ulb) as bigint) from storm_passes where is_treating) as passes,
		(select cast(sum(cast(round_even(chloride_lb * 1e6, 0) as bigint)) as bigint) from watershed_storms) as storms,
		(select cast(sum(cast(round_even(chloride_lb * 1e6, 0) as bigint)) as bigint) from watershed_seasons) as seasons,
		(select count(*) from chloride_kept_off where (basis is null) <> (kept_off_lb is null)) as baseless,
		(select count(kept_off_lb) from chloride_kept_off) as kept_off`)
	require.NoError(t, err)
	require.Positive(t, got[0].Passes)
	assert.Equal(t, got[0].Passes, got[0].Storms)
	assert.Equal(t, got[0].Passes, got[0].Seasons)
	assert.Zero(t, got[0].Baseless)
	assert.Greater(t, got[0].KeptOff, int64(100))
}

func TestCalibrateCommand(t *testing.T) {
	dir := writeDemo(t)
	out, words, code := lanetally(t, "calibrate", dir, "N1", "cma", "--rate", "320")
	require.Zero(t, code, words)
	assert.Contains(t, out, "320 lb/lane-mile on 1 lane at 25 mph needs 133 lb/min: gate 1.58 in, between the tested 1.5 and 2 in.")
	stem := filepath.Join(dir, "cards", "n_1-cma")
	assert.FileExists(t, stem+".html")
	assert.FileExists(t, stem+".txt")

	out, words, code = lanetally(t, "calibrate", dir, "N1", "cma", "--lanes", "2", "--speed", "20", "--json")
	require.Zero(t, code, words)
	var card calibration.Card
	require.NoError(t, json.Unmarshal([]byte(out), &card))
	require.Len(t, card.Gates, 3)
	assert.Equal(t, 3, card.Gates[0].Samples)
	// lb/mile at 20 mph is three minutes of delivery; the sample file says 34.5, 33.8 and 33.9 lb in 12 turns, at 30 a minute.
	perMin := (34.5 + 33.8 + 33.9) / 3 / 12 * 30
	assert.InEpsilon(t, perMin, card.Gates[0].LbPerMin, 1e-9)
	assert.InEpsilon(t, perMin*3/2, card.LaneMiles[0].LbPerLaneMi[1], 1e-9)

	// Sand was never caught on N1: an estimate from a tested material.
	out, words, code = lanetally(t, "calibrate", dir, "N1", "sand")
	require.Zero(t, code, words)
	assert.Contains(t, out, "ESTIMATE, CATCH-TEST BEFORE USE")
	// P2 has no catch test, only calibrations on record.
	out, words, code = lanetally(t, "calibrate", dir, "P2", "salt")
	require.Zero(t, code, words)
	assert.Contains(t, out, "from calibrations on record")
}

func TestCalibrateCommandRefuses(t *testing.T) {
	dir := writeDemo(t)
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"N9", "cma"}, `no truck "N9"; the nearest in reference/trucks.csv is "N1"`},
		{[]string{"N1", "cmaa"}, `no material "cmaa"; the nearest in reference/materials.csv is "cma"`},
		{[]string{"N1", "brine"}, "is a liquid"},
		{[]string{"N1", "cma", "--rate=-5"}, "--rate: -5 is out of range"},
		{[]string{"N1", "cma", "--speed", "NaN"}, "--speed: NaN is out of range"},
	} {
		_, words, code := lanetally(t, append([]string{"calibrate", dir}, c.args...)...)
		assert.Equal(t, exitUsage, code, words)
		assert.Contains(t, words, c.says)
	}
	assert.NoDirExists(t, filepath.Join(dir, "cards"))
}

// Card names are safe, and different for every truck and material.
func TestCardName(t *testing.T) {
	assert.Equal(t, "n_1-cma", cardName("N1", "cma"))
	assert.NotEqual(t, cardName("a-b", "c"), cardName("a", "b-c"))
	assert.NotEqual(t, cardName("A", "c"), cardName("a", "c"))
	assert.NotContains(t, cardName("../x", "a/b"), "/")
}
