package pipeline

import (
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// tryNight runs a night that may be held up.
func tryNight(t *testing.T, dir string, day int, accept string) (*RunReport, error) {
	t.Helper()
	return Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, day), Words: io.Discard, Accept: accept})
}

// passLines keeps the header and the first lines of a delivery.
func passLines(t *testing.T, path string, lines int) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	all := strings.SplitAfter(string(text), "\n")
	require.Greater(t, len(all), lines+1, path)
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(all[:lines+1], "")), 0o644))
}

// longAfter is lateDelivery with its second pass six weeks after the last weather.
var longAfter = strings.ReplaceAll(lateDelivery, "2028-01-10 07:30,2028-01-10 08:00", "2028-02-20 07:30,2028-02-20 08:00")

// gateCases are what holds a release up, and its neighbours that do not. Kind is "" where the night publishes.
var gateCases = []struct {
	name, kind string
	change     func(t *testing.T, dir string)
}{
	{"weather of a storm replaced by a shorter file", "a storm is gone", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/weather/2028-01.csv"), 1)
	}},
	{"passes replaced by a shorter file", "pounds fell", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/passes/2028-01.csv"), 4)
	}},
	{"pounds taken for kilograms by a changed mapping", "", func(t *testing.T, dir string) {
		addText(t, filepath.Join(dir, "district.toml"),
			"\n[feeds.passes.columns]\ndispensed_lb = { from = \"dispensed_lb\", unit = \"kg\" }\n")
	}},
	{"kilograms no longer changed to pounds", "pounds fell", nil},
	{"pounds corrected downwards", "", func(t *testing.T, dir string) {
		addFile(t, dir, "passes/2028-03.csv", strings.ReplaceAll(strings.Split(lateDelivery, "p90")[0], "2600", "300"))
	}},
	{"a truck struck from trucks.csv", "", func(t *testing.T, dir string) {
		text, err := os.ReadFile(filepath.Join(dir, "reference/trucks.csv"))
		require.NoError(t, err)
		var kept []string
		for _, line := range strings.SplitAfter(string(text), "\n") {
			if !strings.HasPrefix(line, "t2,") {
				kept = append(kept, line)
			}
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, "reference/trucks.csv"), []byte(strings.Join(kept, "")), 0o644))
	}},
	{"a third of the new rows set aside", "many rows set aside", func(t *testing.T, dir string) {
		addFile(t, dir, "passes/2028-02.csv", lateDelivery+"p91,t99,c2,r2,2028-01-10 09:30,2028-01-10 10:00,0,10,1,salt,2100,no,storm\n")
	}},
	{"a fifth of the new rows set aside", "", func(t *testing.T, dir string) {
		more := ""
		for _, id := range []string{"p92", "p93"} {
			more += id + ",t2,c2,r2,2028-01-10 09:3" + id[2:] + ",2028-01-10 10:00,0,10,1,salt,2100,no,storm\n"
		}
		addFile(t, dir, "passes/2028-02.csv", lateDelivery+more+
			"p91,t99,c2,r2,2028-01-10 09:30,2028-01-10 10:00,0,10,1,salt,2100,no,storm\n")
	}},
	{"one file without a required column", "", func(t *testing.T, dir string) {
		addFile(t, dir, "passes/2028-02.csv", strings.Replace(lateDelivery, "truck_id", "unit", 1))
	}},
	{"one damaged file", "", func(t *testing.T, dir string) { addFile(t, dir, "passes/2028-02.csv.gz", "\x1f\x8bnothing") }},
	{"passes long after the weather", "passes without weather", func(t *testing.T, dir string) {
		addFile(t, dir, "passes/2028-02.csv", longAfter)
	}},
	{"passes stale_h after the weather and no later", "", func(t *testing.T, dir string) {
		// The last report is of 25 January 12:00; 36 h later is 27 January 00:00.
		addFile(t, dir, "passes/2028-02.csv", strings.ReplaceAll(lateDelivery, "2028-01-10 07:30,2028-01-10 08:00",
			"2028-01-27 00:00,2028-01-27 00:30"))
	}},
	{"the last of ten passes missing, 300 of 15,000 lb", "rows are gone", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/passes/2028-01.csv"), 9)
	}},
	{"the last of twenty loads missing", "", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/tickets/2028-01.csv"), 19)
	}},
	{"two of twenty loads missing", "rows are gone", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/tickets/2028-01.csv"), 18)
	}},
	{"all loads cut to their header", "rows are gone", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/tickets/2028-01.csv"), 0)
	}},
	{"all counts of stock cut to their header", "rows are gone", func(t *testing.T, dir string) {
		passLines(t, filepath.Join(dir, "inbox/stock/2028-01.csv"), 0)
	}},
	{"a load corrected in its file", "", func(t *testing.T, dir string) {
		addText(t, filepath.Join(dir, "inbox/tickets/2028-01.csv"), "k20,2028-01-20 08:00,t1,p1,salt,9000\n")
	}},
	{"loads delivered under another name too", "", func(t *testing.T, dir string) {
		text, err := os.ReadFile(filepath.Join(dir, "inbox/tickets/2028-01.csv"))
		require.NoError(t, err)
		addFile(t, dir, "tickets/2027.csv", string(text))
	}},
	{"a quiet summer", "", func(t *testing.T, dir string) {}},
}

func addText(t *testing.T, path, text string) {
	t.Helper()
	old, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, append(old, text...), 0o644))
}

// TestGateHoldsForEachCause: each cause keeps last night's release standing with exit code 65 and says what to do; what is explained, or is
// one bad file, or is a night without news, publishes.
func TestGateHoldsForEachCause(t *testing.T) {
	base := copyTiny(t)
	addLoadsAndStock(t, base)
	mustNight(t, base, faultNow)
	kilograms := copyDistrict(t, base)
	for _, c := range gateCases {
		t.Run(c.name, func(t *testing.T) {
			dir := copyDistrict(t, base)
			if c.change != nil {
				c.change(t, dir)
			} else {
				dir = kilograms // a night with the mapping, then one without
				settings := filepath.Join(dir, "district.toml")
				old, err := os.ReadFile(settings)
				require.NoError(t, err)
				addText(t, settings, "\n[feeds.passes.columns]\ndispensed_lb = { from = \"dispensed_lb\", unit = \"kg\" }\n")
				mustNight(t, dir, faultNow.AddDate(0, 0, 1))
				require.NoError(t, os.WriteFile(settings, old, 0o644))
			}
			before := exportsOf(t, dir)
			report, err := tryNight(t, dir, 2, "")
			if c.kind == "" {
				require.NoError(t, err)
				return
			}
			assert.Equal(t, exitReference, ExitCode(err))
			require.ErrorContains(t, err, c.kind)
			assert.ErrorContains(t, err, "--accept REASON")
			require.NotEmpty(t, report.Held)
			assert.NotEmpty(t, report.Held[0].Remedy)
			assert.Equal(t, before, exportsOf(t, dir))
			out, _, code := lanetally(t, "status", dir, "--now", "2028-03-08T12:00:00Z")
			assert.Equal(t, exitFound, code)
			assert.Contains(t, out, c.kind)
			text, err := os.ReadFile(filepath.Join(dir, "log", report.Release+".txt"))
			require.NoError(t, err)
			assert.Contains(t, string(text), report.Held[0].Found)
		})
	}
}

// TestAcceptPublishesAndHolds: an accepted cause is published with its reason and holds nothing up again, also after the ledger is rebuilt;
// a new cause does.
func TestAcceptPublishesAndHolds(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	addFile(t, dir, "passes/2028-02.csv", longAfter)
	_, words, code := lanetally(t, "nightly", dir, "--now", faultNow.AddDate(0, 0, 1).Format("2006-01-02T15:04:05Z"))
	require.Equal(t, exitReference, code)
	assert.Contains(t, words, "passes without weather: ")
	assert.Contains(t, words, "; look for the weather delivery, and for clocks of trucks that run ahead")
	report, err := tryNight(t, dir, 2, "the station is being repaired")
	require.NoError(t, err)
	assert.True(t, report.IsPublished)
	assert.Equal(t, "the station is being repaired", report.Accepted)
	page, err := os.ReadFile(filepath.Join(dir, "current", "public", "data.html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "the station is being repaired")
	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	mustNight(t, dir, faultNow.AddDate(0, 0, 3))
	accepted, err := readAccepted(dir)
	require.NoError(t, err)
	require.Len(t, accepted, 1)
	assert.Equal(t, "the station is being repaired", accepted[0].Reason)

	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	assert.Equal(t, []string{"passes without weather|the station is being repaired"},
		textRows(t, l, "select kind, reason from accepted_gates"))
	require.NoError(t, l.Close())

	passLines(t, filepath.Join(dir, "inbox/passes/2028-01.csv"), 4)
	_, err = tryNight(t, dir, 4, "")
	assert.ErrorContains(t, err, "pounds fell")
}

// TestFirstNightHasNothingToBeHeldAgainst: passes without weather on the first night are published, and hold nothing up later.
func TestFirstNightHasNothingToBeHeldAgainst(t *testing.T) {
	dir := copyTiny(t)
	addFile(t, dir, "passes/2028-02.csv", longAfter)
	mustNight(t, dir, faultNow)
	mustNight(t, dir, faultNow.AddDate(0, 0, 1))
}

// TestSinceLastNight: a late delivery and a changed reference table say which past figures moved, and are named as the cause.
func TestSinceLastNight(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	moves := func() []string {
		l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
		require.NoError(t, err)
		defer func() { require.NoError(t, l.Close()) }()
		return textRows(t, l, `select storm_id, route_id, "column", before, after, cause from since_last_night where "column" in
			('applied_lb', 'storm_lb_per_lane_mi') and material_class = 'chloride' and form = 'solid'`)
	}
	assert.Empty(t, moves(), "the first night moves nothing")
	addFile(t, dir, "passes/2028-02.csv", lateDelivery)
	mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	late := moves()
	require.Len(t, late, 2)
	// By hand: pass p02 rises from 2500 to 2600 lb and p90 brings 2100 lb: 2200 lb more on route r2.
	var before, after float64
	cells := strings.Split(late[0], "|")
	require.Len(t, cells, 6)
	assert.Equal(t, "r2", cells[1])
	before, after = figure(t, cells[3]), figure(t, cells[4])
	assert.Equal(t, 2200.0, after-before)
	assert.Equal(t, "passes/2028-02.csv", cells[5])
	mustNight(t, dir, faultNow.AddDate(0, 0, 2))
	assert.Empty(t, moves(), "a night without news moves nothing")

	prices := filepath.Join(dir, "reference", "prices.csv")
	old, err := os.ReadFile(prices)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(prices, []byte(strings.Replace(string(old), "salt,2027-07-01,80", "salt,2027-07-01,90", 1)), 0o644))
	mustNight(t, dir, faultNow.AddDate(0, 0, 3))
	// By hand: 7000 lb of salt on r2 on the 10th are 3.5 tons: 280 dollars at 80 a ton, 315 at 90. p02 lost its prewetting by the
	// correction.
	assert.Contains(t, movesOf(t, dir), "hill-20280110|ridge|r2|cost_usd|280.0|315.0|reference/prices.csv")
}

// TestStormsThatMovedAppearedAndVanished: weather that comes late moves a storm and makes another, weather that is taken back makes one
// vanish, a road report moves the hours to bare lane; each with both values and the file that did it.
func TestStormsThatMovedAppearedAndVanished(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	addFile(t, dir, "weather/late.csv", "station_id,observed_at,air_f,surface_f,wind_mph,precip_in,present_wx\nst1,2028-01-10 "+
		"08:30,17,18,22,0.02,SN\n"+
		"st1,2028-01-22 05:00,20,20,5,0.02,SN\nst1,2028-01-22 06:00,20,20,5,0.02,SN\n")
	addFile(t, dir, "conditions/late.csv", "route_id,observed_at,cover\nr1,2028-01-15 23:30,bare-wet\nr1,2028-01-16 "+
		"01:00,slush\nr1,2028-01-16 03:00,bare-wet\nr1,2028-01-16 06:00,bare-wet\n")
	mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.Subset(t, movesOf(t, dir), []string{
		// By hand, in UTC: the storm of the 10th ended 07:00 local, now 08:30; 0.10 in and the 0.02 of the late report.
		"hill-20280110|ridge||ended_at|2028-01-10 14:00:00+00|2028-01-10 15:30:00+00|weather/late.csv",
		"hill-20280110|ridge||precip_in|0.1|0.12|weather/late.csv",
		"hill-20280122|ridge||storm||2028-01-22 12:00:00+00|weather/late.csv",
	})
	regained := 0
	for _, row := range movesOf(t, dir) {
		if strings.HasPrefix(row, "hill-20280115|ridge|r1|regain_") {
			regained++
			assert.True(t, strings.HasSuffix(row, "|conditions/late.csv"), row)
		}
	}
	assert.Positive(t, regained)
	page, err := os.ReadFile(filepath.Join(dir, "current", "public", "data.html"))
	require.NoError(t, err)
	for _, text := range []string{"storm appeared", "weather/late.csv", "10\u00a0Jan\u00a02028,\u00a008:30"} {
		assert.Contains(t, string(page), text)
	}

	addFile(t, dir, "weather/late.csv", "station_id,observed_at,air_f,surface_f,wind_mph,precip_in,present_wx\nst1,2028-01-10 "+
		"08:30,17,18,22,0.02,SN\n")
	_, err = tryNight(t, dir, 2, "the late file was of another station")
	require.NoError(t, err)
	assert.Contains(t, movesOf(t, dir), "hill-20280122|ridge||storm|2028-01-22 12:00:00+00||weather/late.csv")
	page, err = os.ReadFile(filepath.Join(dir, "current", "public", "data.html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "storm vanished")
}

// movesOf gives what moved since last night.
func movesOf(t *testing.T, dir string) []string {
	t.Helper()
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	return textRows(t, l, `select storm_id, zone_id, route_id, "column", before, after, cause from since_last_night`)
}

func figure(t *testing.T, text string) float64 {
	t.Helper()
	value, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return value
}
