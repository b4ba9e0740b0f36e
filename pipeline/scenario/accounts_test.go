package scenario_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// week is one truck's week with one material: Monday, local.
type week struct {
	truckID, materialID, monday string
}

func mondayOf(t *testing.T, when time.Time) string {
	place, err := placeOnce()
	require.NoError(t, err)
	local := when.In(place)
	return local.AddDate(0, 0, -(int(local.Weekday())+6)%7).Format("2006-01-02")
}

// weighed sums spread and weighed pounds, and tickets, by truck, material and week.
func weighed(t *testing.T) (spread, loaded, tickets map[week]float64) {
	t.Helper()
	spread, loaded, tickets = map[week]float64{}, map[week]float64{}, map[week]float64{}
	inForce := map[string]row{}
	for _, r := range goodRows(t, "passes") {
		inForce[keyOf(r)] = r
	}
	for _, r := range inForce {
		if r.cells["material_id"] != "" {
			spread[week{r.cells["truck_id"], r.cells["material_id"], mondayOf(t, mustAt(t, r.cells["began_at"]))}] += r.number(t,
				"dispensed_lb")
		}
	}
	for _, r := range goodRows(t, "tickets") {
		k := week{r.cells["truck_id"], r.cells["material_id"], mondayOf(t, mustAt(t, r.cells["loaded_at"]))}
		loaded[k] += r.number(t, "loaded_lb") - r.number(t, "returned_lb")
		tickets[k]++
	}
	return spread, loaded, tickets
}

// running is weighed / spread over the four weeks that end with this one, and their tickets.
func running(t *testing.T, truckID, materialID, monday string, spread, loaded, tickets map[week]float64) (ratio, loads float64) {
	last, err := time.Parse("2006-01-02", monday)
	require.NoError(t, err)
	var lb, out float64
	for back := range 4 {
		k := week{truckID, materialID, last.AddDate(0, 0, -7*back).Format("2006-01-02")}
		lb, out, loads = lb+spread[k], out+loaded[k], loads+tickets[k]
	}
	return out / lb, loads
}

func TestOnlyTheMisSetTruckLooksSetForAnotherMaterial(t *testing.T) {
	spread, loaded, tickets := weighed(t)
	density := map[string]float64{}
	for _, m := range reference(t, "materials.csv") {
		if m.cells["form"] == "solid" {
			density[m.cells["material_id"]] = m.number(t, "bulk_density_lb_ft3")
		}
	}
	require.Len(t, density, 3)
	found := map[string]int{}
	for k := range spread {
		ratio, loads := running(t, k.truckID, k.materialID, k.monday, spread, loaded, tickets)
		for other, d := range density {
			wanted := density[k.materialID] / d
			if other != k.materialID && loads >= 5 && math.Abs(ratio-wanted) <= 0.06 && math.Abs(ratio-wanted) < math.Abs(ratio-1) {
				found[k.truckID+" "+k.materialID+" for "+other]++
			}
		}
	}
	mis := demoTruth.MisSet
	require.Len(t, found, 1)
	assert.GreaterOrEqual(t, found[mis.TruckID+" "+mis.MaterialID+" for "+mis.SetFor], 4)
	var lb, out float64
	for k := range spread {
		if k.truckID == mis.TruckID && k.materialID == mis.MaterialID && k.monday >= mis.FirstWeek {
			lb, out = lb+spread[k], out+loaded[k]
		}
	}
	assert.InDelta(t, mis.Ratio, out/lb, 0.04)
	assert.InDelta(t, 44.0/70.0, mis.Ratio, 0.02) // common practice: bulk densities of CMA pellets and rock salt
}

func TestSpreadersErrIsSmallElsewhere(t *testing.T) {
	require.Len(t, demoTruth.Spreaders, 11)
	for _, s := range demoTruth.Spreaders {
		assert.InDelta(t, 1, s.Ratio, 0.05, s.TruckID)
	}
}

func TestTheShrunkPileFallsShortOfItsBook(t *testing.T) {
	shrunk := demoTruth.Shrinkage
	type pile struct{ shed, material string }
	counts := map[pile][]row{}
	for _, r := range goodRows(t, "stock") {
		if r.cells["kind"] == "count" {
			p := pile{r.cells["stockpile_id"], r.cells["material_id"]}
			counts[p] = append(counts[p], r)
		}
	}
	require.Len(t, counts, 7)
	missed := 0
	for p, rows := range counts {
		for i := 1; i < len(rows); i++ {
			from, to := mustAt(t, rows[i-1].cells["at"]), mustAt(t, rows[i].cells["at"])
			gap := rows[i].number(t, "amount_lb") - rows[i-1].number(t, "amount_lb") - booked(t, p.shed, p.material, from, to)
			holds := mustAt(t, shrunk.At).After(from) && mustAt(t, shrunk.At).Before(to)
			if p.shed == shrunk.StockpileID && p.material == shrunk.MaterialID && holds {
				assert.InDelta(t, -shrunk.AmountLb, gap, 25000)
				missed++
				continue
			}
			// A ticket that was weighed and then damaged in the file (two of them) opens a gap of at most one load.
			assert.Less(t, math.Abs(gap), 30000.0, "%v %s", p, rows[i].cells["at"])
		}
	}
	assert.Equal(t, 1, missed)
}

// booked is what tickets, deliveries and adjustments say of a pile in (from, to].
func booked(t *testing.T, shed, material string, from, to time.Time) float64 {
	t.Helper()
	var sum float64
	for _, r := range goodRows(t, "stock") {
		when := mustAt(t, r.cells["at"])
		if r.cells["stockpile_id"] == shed && r.cells["material_id"] == material && r.cells["kind"] != "count" && when.After(from) &&
			!when.After(to) {
			sum += r.number(t, "amount_lb")
		}
	}
	for _, r := range goodRows(t, "tickets") {
		when := mustAt(t, r.cells["loaded_at"])
		if r.cells["stockpile_id"] == shed && r.cells["material_id"] == material && when.After(from) && !when.After(to) {
			sum -= r.number(t, "loaded_lb") - r.number(t, "returned_lb")
		}
	}
	return sum
}

func TestOneTruckIsOverdueForCalibration(t *testing.T) {
	asOf := mustAt(t, demoTruth.AsOfAt)
	latest := map[string]time.Time{}
	for _, r := range reference(t, "calibrations.csv") {
		if when := mustAt(t, r.cells["at"]); r.cells["material_id"] == "salt" && when.After(latest[r.cells["truck_id"]]) {
			latest[r.cells["truck_id"]] = when
		}
	}
	require.Len(t, latest, 11)
	for truckID, when := range latest {
		assert.Equal(t, truckID == demoTruth.Overdue, asOf.Sub(when) > 365*24*time.Hour, truckID)
	}
	assert.Equal(t, demoTruth.OverdueLast, latest[demoTruth.Overdue].Format(time.RFC3339))
}

func TestThePriceChangesOnItsDate(t *testing.T) {
	found := false
	for _, r := range reference(t, "prices.csv") {
		if r.cells["material_id"] == demoTruth.Price.MaterialID && r.cells["from_date"] == demoTruth.Price.FromDate {
			found = r.number(t, "usd_per_ton") == demoTruth.Price.AfterUSD
		}
	}
	assert.True(t, found)
	tests := 0
	for _, r := range reference(t, "catch_tests.csv") {
		assert.Equal(t, demoTruth.CatchTruck, r.cells["truck_id"])
		assert.NotEmpty(t, r.cells["seconds"]+r.cells["revolutions"])
		tests++
	}
	assert.Equal(t, 12, tests)
	orders := reference(t, "orders.csv")
	require.Len(t, orders, 1)
	assert.Equal(t, demoTruth.Order.FromDate, orders[0].cells["from_date"])
	assert.True(t, strings.HasPrefix(orders[0].cells["text"], "Acetate"))
}
