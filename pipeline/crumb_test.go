package pipeline

import (
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lanetally/pipeline/rows"
)

const crumbsHeader = "truck_id,at,lat,lon,speed_mph,spreading,dispensed_total_lb,material_id,plow_down,crew_id\n"

// Route R1 of the test district runs due east along a parallel, ten miles from mile 10 to 20; R2 due north from R1's west end, five miles
// from 0.
// A mile is 1609.344 m; at 40 degrees on the WGS 84 ellipsoid a degree of longitude has 85,394 m and one of latitude, from 40 to 40.07,
// 111,036 m (standard
// tables of the ellipsoid).
const (
	crumbLat, crumbLon = 40.0, -100.0
	degreesAMileEast   = 1609.344 / 85_394
	degreesAMileNorth  = 1609.344 / 111_036
)

// drawRoutes gives the district the lines of R1 and R2.
func (d *testDistrict) drawRoutes() {
	d.t.Helper()
	for _, statement := range []string{
		"insert into routes by name select 'R2' as route_id, 'Two' as name, 'z' as zone_id, 0.0 as from_mi, 5.0 as to_mi, 2.0 as " +
			"lanes_per_pass, 10.0 as lane_miles",
		"delete from route_lines",
		fmt.Sprintf("insert into route_lines values ('R1', '[[%v,%v],[%v,%v]]'), ('R2', '[[%v,%v],[%v,%v]]')", crumbLon, crumbLat,
			crumbLon+10*degreesAMileEast, crumbLat,
			crumbLon, crumbLat, crumbLon, crumbLat+5*degreesAMileNorth),
	} {
		require.NoError(d.t, d.ledger.Exec(d.t.Context(), statement))
	}
}

// leg is a drive: on R1 (from and to are its miles) or R2 at 30 mph, or a wait.
type leg struct {
	route    string // "" waits
	from, to float64
	minutes  float64 // of a wait
	lbPerMi  float64
	material string
}

// driven is the positions of one truck every 20 s from a begin, as CSV lines, and the pounds that went out on each leg.
func driven(truck string, begin time.Time, totalLb float64, legs ...leg) (lines []string) {
	lat, lon := crumbLat, crumbLon
	at := begin
	add := func(l leg, speed float64) {
		spreading, material := "0", ""
		if l.lbPerMi > 0 {
			spreading, material = "1", l.material
		}
		lines = append(lines, fmt.Sprintf("%s,%s,%.7f,%.7f,%g,%s,%.3f,%s,,north\n", truck, at.UTC().Format(time.RFC3339), lat, lon, speed,
			spreading, totalLb, material))
		at = at.Add(20 * time.Second)
	}
	const stepMi = 30.0 / 180 // in 20 s
	place := func(route string, mile float64) {
		if route == "R1" {
			lat, lon = crumbLat, crumbLon+(mile-10)*degreesAMileEast
		} else {
			lat, lon = crumbLat+mile*degreesAMileNorth, crumbLon
		}
	}
	for _, l := range legs {
		steps := int(math.Round(math.Abs(l.to-l.from) / stepMi))
		if l.route == "" {
			steps = int(l.minutes * 3)
		}
		for i := range steps {
			if l.route == "" {
				add(l, 0)
				continue
			}
			place(l.route, l.from+(l.to-l.from)*float64(i)/float64(steps))
			add(l, 30)
			totalLb += l.lbPerMi * stepMi
		}
		if l.route != "" {
			place(l.route, l.to)
		}
	}
	add(leg{}, 0)
	return lines
}

func stormNight() time.Time { return time.Date(2030, 1, 16, 4, 30, 0, 0, time.UTC) }

// twoDays are the drives of two trucks over a night: T1 treats R1 out and back, waits half an hour and treats R2 over midnight; T2 plows
// nothing and treats R1 the next day.
func twoDays() []string {
	first := driven("T1", stormNight(), 100, leg{route: "R1", from: 10, to: 20, lbPerMi: 200, material: "nacl"},
		leg{route: "R1", from: 20, to: 10, lbPerMi: 200, material: "nacl"},
		leg{minutes: 30}, leg{route: "R2", from: 0, to: 5, lbPerMi: 300, material: "cma"})
	second := driven("T2", stormNight().Add(19*time.Hour+15*time.Minute), 65_000,
		leg{route: "R1", from: 10, to: 20, lbPerMi: 150, material: "nacl"}, leg{route: "R1", from: 20, to: 10})
	return append(first, second...)
}

const crumbPassRows = `select truck_id, route_id, round(from_mi, 2) as from_mi, round(to_mi, 2) as to_mi, material_id, round(dispensed_lb,
	1) as lb, crew_id, feed, file
	from passes order by began_at`

// By hand: 10 mi x 200 lb out, the same back, 5 mi x 300 lb on R2; T2's counter goes 10 mi x 150 lb and wraps at 65,536. The last position
// of a leg is where the next begins, so both ends are seen.
func TestPassesFromPositions(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(twoDays(), ""))
	d.night()
	assert.Equal(t, []string{
		"T1|R1|10.0|20.0|nacl|2000.0|north|breadcrumbs|night.csv", "T1|R1|20.0|10.0|nacl|2000.0|north|breadcrumbs|night.csv",
		"T1|R2|0.0|5.0|cma|1500.0|north|breadcrumbs|night.csv", "T2|R1|10.0|20.0|nacl|1500.0|north|breadcrumbs|night.csv",
	}, d.rows(crumbPassRows))
	assert.Equal(t, []string{"T1|5500.0", "T2|1500.0"},
		d.rows("select truck_id, sum(fed_ulb) / 1e6 as lb from crumb_traces group by all order by all"))
	assert.Equal(t, []string{"2029-30|T1|5500.0", "2029-30|T2|1500.0"}, d.rows("select season, truck_id, fed_lb from position_trucks"))
	assert.Equal(t, d.rows("select count(*), sum(points), sum(on_route) from crumb_traces"),
		d.rows("select sum(traces), sum(points), sum(on_route) from position_trucks"))
	assert.Equal(t, []string{"0"}, d.rows("select count(*) from duckdb_columns() where table_name like 'raw_breadcrumbs' and "+
		"column_name = 'lat'"))
	first := d.rows("select pass_key, line from passes order by began_at limit 1")
	assert.Equal(t, []string{"crumb:T1@2030-01-16T04:30:00Z|2"}, first)
}

// crumbTables are what positions leave in the ledger and the store; of a file's name and line only where they matter.
func (d *testDistrict) crumbEverything() string {
	d.t.Helper()
	var all []string
	for _, query := range []string{
		"select * exclude (file, line, pass_no) from passes order by pass_key", "select * from crumb_traces order by all",
		"select * exclude (sha256, line) from crumb_passes order by all", "select * from weak_passes",
		"select feed, sum(accepted), sum(quarantined) from intake group by feed",
	} {
		all = append(all, d.rows(query)...)
	}
	return strings.Join(all, "\n")
}

func (d *testDistrict) storeFiles() map[string]string {
	files := map[string]string{}
	root := filepath.Join(d.dir, "archive/breadcrumbs")
	require.NoError(d.t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.Contains(path, "season=") {
			return err
		}
		text, err := os.ReadFile(path)
		files[path[len(root):]] = string(text)
		return err
	}))
	return files
}

// Any split of the positions into files and nights, in any order, with files that came and went between: the same passes.
func TestAnySplitOfPositionsGivesTheSamePasses(t *testing.T) {
	setRapidChecks(t, "3")
	lines := twoDays()
	d := newDistrict(t)
	d.drawRoutes()
	d.deliver("breadcrumbs/whole.csv", crumbsHeader+strings.Join(lines, ""))
	d.night()
	wanted := d.crumbEverything()
	require.Contains(t, wanted, "cma")
	rapid.Check(t, func(rt *rapid.T) {
		d.startOver(true)
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
		shuffled := slices.Clone(lines)
		if rapid.Bool().Draw(rt, "shuffled rows") {
			random.Shuffle(len(shuffled), func(i, k int) { shuffled[i], shuffled[k] = shuffled[k], shuffled[i] })
		}
		parts := rapid.IntRange(2, 5).Draw(rt, "files")
		for i := range parts {
			begin, end := i*len(shuffled)/parts, (i+1)*len(shuffled)/parts
			name := fmt.Sprintf("breadcrumbs/%d.csv", random.IntN(1_000_000))
			if rapid.Bool().Draw(rt, "had a former content") {
				d.deliver(name, crumbsHeader+strings.ReplaceAll(strings.Join(shuffled[max(0, begin-40):begin+1], ""), "T1,", "T2,"))
				d.load()
			}
			d.deliver(name, crumbsHeader+strings.Join(shuffled[begin:end], ""))
			if rapid.Bool().Draw(rt, "night") {
				d.load()
			}
		}
		d.night()
		require.Equal(rt, wanted, d.crumbEverything())
		before, files := d.everything(), d.storeFiles()
		d.startOver(false)
		require.NoError(rt, os.RemoveAll(filepath.Join(d.dir, "inbox")))
		d.night()
		require.Equal(rt, wanted, d.crumbEverything(), "rebuilt without the inbox")
		require.Equal(rt, before, d.everything(), "rebuilt without the inbox")
		require.Equal(rt, files, d.storeFiles())
	})
}

// By hand: after 10 miles at 200 lb no position comes for 20 min, in which the counter rises by 700 lb; they are on no pass, and told. A
// counter that is set by hand meanwhile, to more than can have gone out, tells nothing.
func TestPoundsBetweenTraces(t *testing.T) {
	for risenLb, want := range map[float64][]string{700: {"T1|700.0|between two traces"}, 200_000: {}} {
		d := newDistrict(t)
		d.drawRoutes()
		lines := driven("T1", stormNight(), 0, leg{route: "R1", from: 10, to: 20, lbPerMi: 200, material: "nacl"})
		lines = append(lines, driven("T1", stormNight().Add(40*time.Minute), 2000+risenLb,
			leg{route: "R1", from: 20, to: 10, lbPerMi: 200, material: "nacl"})...)
		d.deliver("breadcrumbs/a.csv", crumbsHeader+strings.Join(lines, ""))
		d.night()
		assert.Equal(t, []string{"4000.0"}, d.rows("select sum(dispensed_lb) from passes"))
		assert.ElementsMatch(t, want, d.rows("select truck_id, dispensed_lb, reason from weak_passes"))
		assert.Equal(t, []string{fmt.Sprint(4000 + 700*len(want)), fmt.Sprint(700 * len(want))},
			d.rows("select unnest([fed_lb, unplaced_lb])::bigint from position_trucks"))
		assert.Len(t, d.rows("select * from position_findings where finding_code = 'pounds_off_routes'"), len(want))
	}
}

// Positions of a truck that is not listed are set aside with their text, come back once it is, and go again when it is struck off.
func TestPositionsOfUnknownTruck(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	d.deliver("breadcrumbs/a.csv", crumbsHeader+strings.Join(driven("T7", stormNight(), 0,
		leg{route: "R1", from: 10, to: 12, lbPerMi: 100, material: "nacl"}), "")+"T1,never,1,2,,,,,,\n")
	d.night()
	require.Empty(t, d.rows("select * from passes"))
	assert.Equal(t, []string{"breadcrumbs|a.csv||14|0|0|0|14"}, d.rows(intakeRows))
	assert.Equal(t, []string{"15|at|not a time", "2|truck_id|unknown truck"},
		d.rows(`select line, "column", reason from quarantine where line in (2, 15) order by line desc`))
	assert.Equal(t,
		[]string{`T7,2030-01-16T04:30:00Z,40.0000000,-100.0000000,30,1,0.000,nacl,,north|truck_id "T7" is not in reference/trucks.csv; ` +
			`add it there, or correct the row`},
		d.rows("select raw, remedy from quarantine where line = 2"))
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into trucks by name select 'T7' as truck_id"))
	require.NoError(t, os.RemoveAll(filepath.Join(d.dir, "inbox/breadcrumbs")))
	d.night()
	assert.Equal(t, []string{"breadcrumbs|a.csv||14|13|0|0|1"}, d.rows(intakeRows))
	assert.Equal(t, []string{"T7|R1|10.0|12.0|nacl|200.0|north|breadcrumbs|a.csv"}, d.rows(crumbPassRows))
	require.NoError(t, d.ledger.Exec(t.Context(), "delete from trucks where truck_id = 'T7'"))
	d.night()
	assert.Empty(t, d.rows("select * from passes"))
	assert.Equal(t, []string{"breadcrumbs|a.csv||14|0|0|0|14"}, d.rows(intakeRows))
}

// By hand, four rows of one key: the first accepted, its equal a duplicate, another value a correction, and in a later file the first value
// again a correction. The same content under a second name counts once; when the first name goes the rows count at the other.
func TestPositionsAreTold(t *testing.T) {
	d := newDistrict(t)
	row := func(total string) string { return "T1,2030-01-16T04:30:00Z,40,-100,30,1," + total + ",nacl,,\n" }
	d.deliver("breadcrumbs/a.csv", crumbsHeader+row("1")+row("1.0")+row("2"))
	d.deliver("breadcrumbs/b.csv", crumbsHeader+row("1"))
	d.deliver("breadcrumbs/c.csv", crumbsHeader+row("1"))
	d.night()
	assert.Equal(t, []string{"breadcrumbs|a.csv||3|1|1|1|0", "breadcrumbs|b.csv||1|0|0|1|0", "breadcrumbs|c.csv|b.csv|0|0|0|0|0"},
		d.rows(intakeRows))
	d.deliver("breadcrumbs/0.csv", crumbsHeader+row("1"))
	d.night()
	assert.Equal(t, []string{"breadcrumbs|0.csv||1|1|0|0|0", "breadcrumbs|a.csv||3|0|2|1|0", "breadcrumbs|b.csv|0.csv|0|0|0|0|0",
		"breadcrumbs|c.csv|0.csv|0|0|0|0|0"}, d.rows(intakeRows))
	d.deliver("breadcrumbs/a.csv", "truck_id,at\nT1,2030-01-16T04:30:00Z\n")
	d.night()
	assert.Equal(t, "breadcrumbs|a.csv||1|0|0|0|1", d.rows(intakeRows)[1])
	assert.Equal(t, []string{"2|lat|required column missing"}, d.rows(`select line, "column", reason from quarantine`))
}

// Without lines positions are kept and told, and no pass is made; once the lines are there the passes are made of what was kept.
func TestPositionsWithoutRouteLines(t *testing.T) {
	d := newDistrict(t)
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(twoDays(), ""))
	d.night()
	assert.Empty(t, d.rows("select * from passes"))
	assert.Equal(t, []string{"2"}, d.rows("select count(*) from weak_passes where reason = 'off the network'"))
	assert.Equal(t, []string{"7000.0"}, d.rows("select sum(dispensed_lb) from weak_passes"))
	d.drawRoutes()
	d.night()
	assert.Len(t, d.rows("select * from passes"), 4)
	require.NoError(t, d.ledger.Exec(t.Context(), "update routes set from_mi = 110, to_mi = 120 where route_id = 'R1'"))
	d.night()
	assert.Equal(t, []string{"120.0"}, d.rows("select max(to_mi) from passes"))
}

// addPositions gives a copy of the tiny district lines of its routes and positions of truck t3, which treats route r3 before and after
// midnight UTC with a gap between. Its lines lie along R1 and R2 of this file: r2 from mile 10 of R1, r3 on R2, r1 far off.
func addPositions(t *testing.T, dir string) {
	t.Helper()
	line := func(id string, fromLon, fromLat, toLon, toLat float64) string {
		return fmt.Sprintf(`{"type":"Feature","properties":{"route_id":%q},"geometry":{"type":"LineString","coordinates":[[%v,%v],[%v,`+
			`%v]]}}`, id, fromLon, fromLat, toLon, toLat)
	}
	features := []string{line("r1", crumbLon+1, crumbLat+1, crumbLon+1, crumbLat+1+5*degreesAMileNorth),
		line("r2", crumbLon, crumbLat, crumbLon+10*degreesAMileEast, crumbLat),
		line("r3", crumbLon, crumbLat, crumbLon, crumbLat+4*degreesAMileNorth)}
	text := `{"type":"FeatureCollection","features":[` + strings.Join(features, ",\n") + `]}`
	require.NoError(t, os.WriteFile(filepath.Join(dir, "reference/route_lines.geojson"), []byte(text), 0o644))
	lines := tinyPositions()
	addFile(t, dir, "breadcrumbs/2028-01-12.csv", crumbsHeader+strings.Join(append(slices.Clone(lines[:12]), lines[30:]...), ""))
}

// addLatePositions fills the gap: two traces, in the files of two days, become one.
func addLatePositions(t *testing.T, dir string) {
	t.Helper()
	addFile(t, dir, "breadcrumbs/2028-01-13.csv", crumbsHeader+strings.Join(tinyPositions()[12:30], ""))
}

// tinyPositions begin at 23:52 UTC: a minute apart for the gap to be longer than pass_gap_min.
func tinyPositions() (lines []string) {
	for i := range 48 {
		mile := 4 * math.Abs(1-float64(i)/24)
		at := time.Date(2028, 1, 12, 23, 40, 0, 0, time.UTC).Add(time.Duration(i) * time.Minute)
		lines = append(lines, fmt.Sprintf("t3,%s,%.7f,%g,10,1,%d,salt,,c3\n", at.Format(time.RFC3339), crumbLat+mile*degreesAMileNorth,
			crumbLon, 50*i))
	}
	return lines
}

// What the tests of faults begin with: a night with two traces, then one trace.
func TestPositionsOfTheFaultCase(t *testing.T) {
	dir := copyTiny(t)
	addPositions(t, dir)
	report := mustNight(t, dir, faultNow)
	assert.EqualValues(t, 30, report.Counts.Positions)
	former, err := filepath.Glob(filepath.Join(dir, "archive/breadcrumbs/season=2027-28/month=2028-01/*.parquet"))
	require.NoError(t, err)
	assert.Len(t, former, 2)
	require.NoError(t, os.Truncate(former[1], 100)) // a damaged file is built anew from what was delivered
	addLatePositions(t, dir)
	report = mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.EqualValues(t, 48, report.Counts.Positions)
	assert.Contains(t, strings.Join(report.Warnings, "\n"), "rebuilt from inbox/ and archive/")
	assert.EqualValues(t, 2, report.Counts.CrumbPasses, "in to mile 0 and out again")
	later, err := filepath.Glob(filepath.Join(dir, "archive/breadcrumbs/season=2027-28/month=2028-01/*.parquet"))
	require.NoError(t, err)
	assert.Equal(t, former[:1], later)
}

// check counts positions as a night would, and leaves the district folder as it is.
func TestCheckReadsPositions(t *testing.T) {
	dir := copyTiny(t)
	addPositions(t, dir)
	result, err := checkDistrict(t.Context(), dir)
	require.NoError(t, err)
	assert.Contains(t, result.Files, rows.Intake{Feed: "breadcrumbs", File: "2028-01-12.csv", RowsRead: 30, Accepted: 30})
	assert.NoDirExists(t, filepath.Join(dir, "archive"))
}
