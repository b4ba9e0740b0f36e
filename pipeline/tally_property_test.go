package pipeline

import (
	"context"
	"flag"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/ledger"
)

// drawnDistrict is an invented district: rows as SQL values by table, and what its treating passes add up to.
type drawnDistrict struct {
	observations, passes, conditions []string
	treating                         int
	appliedLb, laneMiles             float64
}

const (
	drawnObservations = "station_id, observed_at, air_f, surface_f, wind_mph, precip_in, present_wx"
	drawnPasses       = "pass_key, pass_id, truck_id, crew_id, route_id, began_at, ended_at, from_mi, to_mi, lanes, lane_miles, " +
		"material_id, rate_set_lb_per_lane_mi, dispensed_lb, plow_down, purpose, file, line"
	drawnConditions = "route_id, observed_at, cover"
	drawnReference  = `
		insert into zones values ('z1', 'One', 'd'), ('z2', 'Two', 'd');
		insert into stations (station_id, zone_id) values ('s1', 'z1'), ('s2', 'z1'), ('s3', 'z2');
		insert into routes (route_id, name, zone_id, from_mi, to_mi, lanes, lanes_per_pass, lane_miles) values
			('r1', 'A', 'z1', 0, 10, 2, 1, 20), ('r2', 'B', 'z1', 3, 8, 2, 2, 10), ('r3', 'C', 'z2', 0, 7, 4, 1, 28);
		insert into crews (crew_id, label, prior_acetate_storms) values ('c1', 'A', 0), ('c2', 'B', 2);
		insert into materials (material_id, name, class, form, chloride_fraction, lowest_working_f) values
			('salt', 'Salt', 'chloride', 'solid', 0.6066, 15), ('cma', 'Acetate', 'acetate', 'solid', null, 20);
		insert into prices values ('salt', '2027-07-01', 81.37), ('cma', '2027-07-01', 1433.21);
		insert into as_of values ('2028-07-01 00:00:00Z');`
)

var (
	drawnStart  = time.Date(2028, 1, 10, 0, 0, 0, 0, time.UTC)
	drawnRoutes = map[string][3]float64{"r1": {0, 10, 1}, "r2": {3, 8, 2}, "r3": {0, 7, 1}} // from mile, to mile, lanes a pass
)

// checkFewer checks a property on a tenth of the usual number of draws: each draw tallies a whole district of many rows.
func checkFewer(t *testing.T, property func(*rapid.T)) {
	t.Helper()
	checks := flag.Lookup("rapid.checks").Value
	usual := checks.String()
	number, err := strconv.Atoi(usual)
	require.NoError(t, err)
	require.NoError(t, checks.Set(strconv.Itoa(max(number/10, 1))))
	defer func() { require.NoError(t, checks.Set(usual)) }()
	rapid.Check(t, property)
}

// drawMoment draws a minute of the ten days from drawnStart.
func drawMoment(rt *rapid.T) time.Time {
	return drawnStart.Add(time.Duration(rapid.IntRange(0, 14400).Draw(rt, "minute")) * time.Minute)
}

func sqlInstant(at time.Time) string { return at.Format("'2006-01-02 15:04:05Z'") }

func sqlOptional(present bool, value float64) string {
	if !present {
		return "null"
	}
	return fmt.Sprintf("%v", value)
}

func drawObservations(rt *rapid.T) []string {
	var rows []string
	seen := map[string]bool{}
	for range rapid.IntRange(0, 80).Draw(rt, "observations") {
		station, at := rapid.SampledFrom([]string{"s1", "s2", "s3"}).Draw(rt, "station"), drawMoment(rt)
		if key := station + at.String(); seen[key] {
			continue
		} else {
			seen[key] = true
		}
		weather := rapid.SampledFrom([]string{"'SN'", "'-FZRA'", "'PL'", "'RA'", "'BLSN'", "null"}).Draw(rt, "weather")
		rows = append(rows, fmt.Sprintf("('%s', %s, %v, %s, %v, %v, %s)", station, sqlInstant(at),
			float64(rapid.IntRange(100, 400).Draw(rt, "air"))/10,
			sqlOptional(rapid.Bool().Draw(rt, "has surface"), float64(rapid.IntRange(100, 400).Draw(rt, "surface"))/10),
			float64(rapid.IntRange(0, 400).Draw(rt, "wind"))/10, float64(rapid.IntRange(0, 30).Draw(rt, "precip"))/100, weather))
	}
	return rows
}

// drawPass draws pass number i and adds it to d. Every pass has its own minute, so that none share truck and begin.
func (d *drawnDistrict) drawPass(rt *rapid.T, i int, isWhole bool) {
	route := rapid.SampledFrom([]string{"r1", "r2", "r3"}).Draw(rt, "route")
	from, to, lanes := drawnRoutes[route][0], drawnRoutes[route][1], drawnRoutes[route][2]
	material := rapid.SampledFrom([]string{"salt", "cma", ""}).Draw(rt, "material")
	pounds := float64(rapid.IntRange(0, 60000).Draw(rt, "pounds")) / 10
	hasPounds, hasMiles, isSpot := true, true, false
	if !isWhole {
		hasPounds, hasMiles = rapid.Bool().Draw(rt, "has pounds"), rapid.Bool().Draw(rt, "has miles")
		isSpot = hasMiles && rapid.Bool().Draw(rt, "is spot")
	}
	laneMiles := (to - from) * lanes
	if isSpot {
		to, laneMiles = from, 0
	}
	began := drawMoment(rt).Add(time.Duration(i) * time.Second)
	materialSQL := "null"
	if material != "" {
		materialSQL = "'" + material + "'"
	}
	d.passes = append(d.passes, fmt.Sprintf("('id:p%d', 'p%d', 't1', '%s', '%s', %s, %s, %s, %s, null, null, %s, 150, %s, %t, %s, 'f', %d)",
		i, i, rapid.SampledFrom([]string{"c1", "c2"}).Draw(rt, "crew"), route, sqlInstant(began),
		sqlInstant(began.Add(40*time.Minute)), sqlOptional(hasMiles, from), sqlOptional(hasMiles, to), materialSQL,
		sqlOptional(hasPounds, pounds), rapid.Bool().Draw(rt, "plow"),
		rapid.SampledFrom([]string{"null", "'pretreat'", "'cleanup'", "'storm'"}).Draw(rt, "purpose"), i))
	if material == "" || hasPounds && pounds == 0 {
		return
	}
	d.treating++
	d.laneMiles += laneMiles
	switch {
	case hasPounds:
		d.appliedLb += pounds
	case laneMiles > 0:
		d.appliedLb += 150 * laneMiles
	}
}

func drawDistrict(rt *rapid.T, isWhole bool) *drawnDistrict {
	d := &drawnDistrict{observations: drawObservations(rt)}
	for i := range rapid.IntRange(0, 60).Draw(rt, "passes") {
		d.drawPass(rt, i, isWhole)
	}
	for i := range rapid.IntRange(0, 12).Draw(rt, "conditions") {
		d.conditions = append(d.conditions, fmt.Sprintf("('%s', %s, '%s')",
			rapid.SampledFrom([]string{"r1", "r2", "r3"}).Draw(rt, "route"),
			sqlInstant(drawMoment(rt).Add(time.Duration(i)*time.Second)),
			rapid.SampledFrom([]string{"bare-wet", "bare-dry", "slush", "ice"}).Draw(rt, "cover")))
	}
	return d
}

// tallyDrawn tallies d in a ledger used before.
func tallyDrawn(ctx context.Context, t *testing.T, l *ledger.Ledger, d *drawnDistrict) {
	t.Helper()
	createLoaded(ctx, t, l, "America/Denver")
	require.NoError(t, l.Exec(ctx, drawnReference))
	insert := func(table, columns string, rows []string) {
		if len(rows) > 0 {
			require.NoError(t, l.Exec(ctx, "insert into "+table+" ("+columns+") values "+strings.Join(rows, ", ")))
		}
	}
	insert("observations", drawnObservations, d.observations)
	insert("passes", drawnPasses, d.passes)
	insert("conditions", drawnConditions, d.conditions)
	require.NoError(t, tallyAll(ctx, l))
}

// tallyTotals are sums over one table of the tally.
type tallyTotals struct {
	Treating  float64 `db:"treating"`
	Pounds    float64 `db:"pounds"`
	LaneMiles float64 `db:"lane_miles"`
}

func readTotals(t *testing.T, l *ledger.Ledger, query string) tallyTotals {
	t.Helper()
	rows, err := ledger.ReadTable[tallyTotals](t.Context(), l, query)
	require.NoError(t, err)
	require.Len(t, rows, 1)
	return rows[0]
}

const (
	bothTotals = `select sum(treating_passes)::double as treating, sum(applied_lb::decimal(18, 6))::double as pounds,
		sum(treated_lane_miles::decimal(18, 6))::double as lane_miles from (
		select treating_passes, applied_lb, treated_lane_miles from storm_routes
		union all select treating_passes, applied_lb, treated_lane_miles from outside_storms)`
	routeTotals = `select sum(applied_lb::decimal(18, 6))::double as pounds,
		sum(treated_lane_miles::decimal(18, 6))::double as lane_miles from storm_routes`
	crewTotals = `select sum(applied_lb::decimal(18, 6))::double as pounds,
		sum(treated_lane_miles::decimal(18, 6))::double as lane_miles from crew_storms`
)

// TestStormsAndOutsideAreAllPasses: every pass is in one storm or outside, in number, pounds and lane-miles; the crews share what
// the routes got.
func TestStormsAndOutsideAreAllPasses(t *testing.T) {
	l := openTestLedger(t)
	checkFewer(t, func(rt *rapid.T) {
		d := drawDistrict(rt, false)
		tallyDrawn(t.Context(), t, l, d)
		counted, err := ledger.ReadTable[struct {
			N int `db:"n"`
		}](t.Context(), l, "select count(*) as n from storm_passes")
		require.NoError(t, err)
		require.Equal(t, len(d.passes), counted[0].N)
		totals := readTotals(t, l, bothTotals)
		require.Equal(t, float64(d.treating), totals.Treating)
		require.InDelta(t, d.appliedLb, totals.Pounds, 1e-5)
		require.InDelta(t, d.laneMiles, totals.LaneMiles, 1e-5)
		require.Equal(t, readTotals(t, l, routeTotals), readTotals(t, l, crewTotals))
		assertGrains(t.Context(), t, l, stepsOf(stretchStorms, stretchMoney))
	})
}

// TestRateTimesApplications: where every treating pass is placed and measured, the rate times the applications is the pounds per
// lane-mile of the storm.
func TestRateTimesApplications(t *testing.T) {
	type row struct {
		Rate         *float64 `db:"rate_lb_per_lane_mi"`
		Applications float64  `db:"applications"`
		Storm        *float64 `db:"storm_lb_per_lane_mi"`
	}
	l := openTestLedger(t)
	checked := 0
	checkFewer(t, func(rt *rapid.T) {
		tallyDrawn(t.Context(), t, l, drawDistrict(rt, true))
		rows, err := ledger.ReadTable[row](t.Context(), l,
			"select rate_lb_per_lane_mi, applications, storm_lb_per_lane_mi from storm_routes where form is not null")
		require.NoError(t, err)
		for _, r := range rows {
			require.NotNil(t, r.Rate)
			require.NotNil(t, r.Storm)
			require.InDelta(t, *r.Storm, *r.Rate*r.Applications, 1e-9*math.Max(1, *r.Storm))
			checked++
		}
	})
	assert.Positive(t, checked)
}

// dumpTally gives every table of the tally as text, in the order of its query where that gives one, and passes by their key: their numbers
// follow the order of files.
func dumpTally(t *testing.T, l *ledger.Ledger) map[string]string {
	t.Helper()
	dump := map[string]string{}
	for _, s := range stepsOf(stretchStorms, stretchMoney) {
		table := s.table
		query := "select cast(t as varchar) as row from (select columns(c -> c <> 'pass_no') from " + caseSource(table) + ") as t"
		if !isOrdered(t, table) {
			query += " order by row"
		}
		rows, err := ledger.ReadTable[struct {
			Row string `db:"row"`
		}](t.Context(), l, query)
		require.NoError(t, err)
		var text strings.Builder
		for _, r := range rows {
			text.WriteString(r.Row + "\n")
		}
		dump[table] = text.String()
	}
	return dump
}

// TestOrderOfRowsDoesNotMatter: rows inserted in any order give the same tables, in the same order where a query gives one.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	l := openTestLedger(t)
	checkFewer(t, func(rt *rapid.T) {
		d := drawDistrict(rt, false)
		tallyDrawn(t.Context(), t, l, d)
		want := dumpTally(t, l)
		shuffled := *d
		shuffled.observations = rapid.Permutation(d.observations).Draw(rt, "observations in another order")
		shuffled.passes = rapid.Permutation(d.passes).Draw(rt, "passes in another order")
		shuffled.conditions = slices.Clone(d.conditions)
		slices.Reverse(shuffled.conditions)
		tallyDrawn(t.Context(), t, l, &shuffled)
		require.Equal(t, want, dumpTally(t, l))
	})
}

// TestOneRoadToldFourWays: one road of any length gives the same pounds per lane-mile whether it is told as centreline passes, as
// out-and-back rows with lane_miles, as one pass a lane with its miles, or as passes of the whole route without miles.
func TestOneRoadToldFourWays(t *testing.T) {
	l := openTestLedger(t)
	checkFewer(t, func(rt *rapid.T) {
		tenths, lanes := rapid.IntRange(1, 400).Draw(rt, "length"), 2*rapid.IntRange(1, 3).Draw(rt, "half the lanes")
		pounds := float64(lanes * rapid.IntRange(1, 4000).Draw(rt, "pounds a lane"))
		length := float64(tenths) / 10
		laneMiles := float64(tenths*lanes) / 10
		d := &drawnDistrict{observations: []string{
			"('s1', '2028-01-10 12:00:00Z', 20, 20, 5, 0, 'SN')", "('s1', '2028-01-10 16:00:00Z', 20, 20, 5, 0, 'SN')"}}
		tell := func(route, from, to, lanesGiven, laneMilesGiven string, passes int) {
			for i := range passes {
				at := time.Date(2028, 1, 10, 12, i, 0, 0, time.UTC)
				key := fmt.Sprintf("%s-%d", route, i)
				d.passes = append(d.passes, fmt.Sprintf(
					"('%s', '%s', 't', 'c1', '%s', %s, %s, %s, %s, %s, %s, 'salt', null, %v, false, null, 'f', 1)",
					key, key, route, sqlInstant(at), sqlInstant(at), from, to, lanesGiven, laneMilesGiven, pounds/float64(passes)))
			}
		}
		miles := fmt.Sprint(length)
		tell("w1", "0", miles, "2", "null", lanes/2)
		tell("w2", "0", miles, "null", fmt.Sprint(2*length), lanes/2)
		tell("w3", miles, "0", "1", "null", lanes)
		tell("w4", "null", "null", "null", "null", lanes)
		require.NoError(t, tallyRoads(t, l, d, miles, lanes, laneMiles))
		rows, err := ledger.ReadTable[struct {
			Storm float64 `db:"storm_lb_per_lane_mi"`
			Rate  float64 `db:"rate_lb_per_lane_mi"`
		}](t.Context(), l, "select storm_lb_per_lane_mi, rate_lb_per_lane_mi from storm_routes")
		require.NoError(t, err)
		require.Len(t, rows, 4)
		for _, r := range rows {
			require.InEpsilon(t, pounds/laneMiles, r.Storm, 1e-6)
			require.InEpsilon(t, pounds/laneMiles, r.Rate, 1e-6)
		}
	})
}

// tallyRoads tallies d on four routes that are the same road.
func tallyRoads(t *testing.T, l *ledger.Ledger, d *drawnDistrict, miles string, lanes int, laneMiles float64) error {
	t.Helper()
	ctx := t.Context()
	createLoaded(ctx, t, l, "America/Denver")
	statements := []string{drawnReference}
	for _, route := range []string{"w1", "w2", "w3", "w4"} {
		statements = append(statements, fmt.Sprintf("insert into routes (route_id, name, zone_id, from_mi, to_mi, lanes, lanes_per_pass, "+
			"lane_miles) values ('%s', 'W', 'z1', 0, %s, %d, 1, %v)", route, miles, lanes, laneMiles))
	}
	statements = append(statements,
		"insert into observations ("+drawnObservations+") values "+strings.Join(d.observations, ", "),
		"insert into passes ("+drawnPasses+") values "+strings.Join(d.passes, ", "))
	for _, statement := range statements {
		if err := l.Exec(ctx, statement); err != nil {
			return err
		}
	}
	return tallyAll(ctx, l)
}
