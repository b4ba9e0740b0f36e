package pipeline

import (
	"bytes"
	"compress/gzip"
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// testDistrict is a district folder of a test, and its ledger.
type testDistrict struct {
	t        *testing.T
	dir      string
	ledger   *ledger.Ledger
	settings *district.Settings
	layer    disk.Layer
}

func newDistrict(t *testing.T) *testDistrict {
	t.Helper()
	location, err := time.LoadLocation("America/Denver")
	require.NoError(t, err)
	d := &testDistrict{t: t, dir: t.TempDir(), ledger: openTestLedger(t)}
	d.settings = &district.Settings{Name: "Test", TimeZone: "America/Denver", Location: location, Feeds: map[string]contract.Mapping{},
		PassGapMin: 10, SpreadGapS: 60, MatchMin: 0.6, NoiseM: 12, OffNetworkM: 60, QuarantineListed: 1000}
	require.NoError(t, os.Mkdir(filepath.Join(d.dir, "inbox"), 0o755))
	require.NoError(t, district.LoadRun(t.Context(), d.ledger, d.settings))
	d.makeReference()
	return d
}

// makeReference fills the reference tables that telling reads: trucks T1 and T2, crew north, route R1 from mile 10 to 20,
// materials nacl and cma, station S1.
func (d *testDistrict) makeReference() {
	d.t.Helper()
	for _, table := range []string{"trucks", "crews", "routes", "materials", "stations", "assignments", "route_lines",
		"other_roads"} {
		ddl, err := ledger.TableDDL(table)
		require.NoError(d.t, err)
		require.NoError(d.t, d.ledger.Exec(d.t.Context(), ddl))
	}
	for _, statement := range []string{
		"insert into trucks by name select unnest(['T1', 'T2']) as truck_id",
		"insert into crews by name select 'north' as crew_id, 'North' as label, 0 as prior_acetate_storms",
		"insert into routes by name select 'R1' as route_id, 'One' as name, 'z' as zone_id, 10.0 as from_mi, 20.0 as to_mi, 1.0 as " +
			"lanes_per_pass, 20.0 as lane_miles",
		"insert into materials by name select unnest(['nacl', 'cma']) as material_id, 'x' as name, 'chloride' as class, 'solid' as form",
		"insert into stations by name select 'S1' as station_id, 'z' as zone_id",
	} {
		require.NoError(d.t, d.ledger.Exec(d.t.Context(), statement))
	}
}

// deliver puts a file into the inbox; name is below it.
func (d *testDistrict) deliver(name, content string) {
	d.t.Helper()
	path := filepath.Join(d.dir, "inbox", name)
	require.NoError(d.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(d.t, os.WriteFile(path, []byte(content), 0o644))
}

func (d *testDistrict) load() intake.LoadSummary {
	d.t.Helper()
	summary, err := intake.LoadDeliveries(d.t.Context(), d.ledger, d.dir, d.settings, d.layer, nil)
	require.NoError(d.t, err)
	return summary
}

// night loads and tells every row, and checks that none got lost.
func (d *testDistrict) night() intake.LoadSummary {
	d.t.Helper()
	summary := d.load()
	d.tell()
	return summary
}

func (d *testDistrict) tell() {
	d.t.Helper()
	require.NoError(d.t, walk(d.t.Context(), d.ledger, d.settings, stretchTell, stretchTell))
	require.NoError(d.t, checkConservation(d.t.Context(), d.ledger))
}

// rows gives a query's rows, cells joined by "|", a missing value as nothing.
func (d *testDistrict) rows(query string) []string {
	d.t.Helper()
	return textRows(d.t, d.ledger, query)
}

func textRows(t *testing.T, l *ledger.Ledger, query string) []string {
	t.Helper()
	rows, err := l.Conn.QueryContext(context.Background(), "select coalesce(columns(*)::varchar, '') from ("+query+")")
	require.NoError(t, err)
	defer rows.Close()
	columns, err := rows.Columns()
	require.NoError(t, err)
	var out []string
	for rows.Next() {
		cells := make([]string, len(columns))
		targets := make([]any, len(columns))
		for i := range cells {
			targets[i] = &cells[i]
		}
		require.NoError(t, rows.Scan(targets...))
		out = append(out, strings.Join(cells, "|"))
	}
	require.NoError(t, rows.Err())
	return out
}

const (
	passesHeader = "pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,material_id,dispensed_lb\n"
	intakeRows   = "select feed, file, same_as, rows_read, accepted, duplicates, corrections, quarantined from intake"
)

func pass(id, truck, from, pounds string) string {
	return id + "," + truck + ",north,R1,2030-01-15 06:30,2030-01-15 07:10," + from + ",20,nacl," + pounds + "\n"
}

func gzipped(t *testing.T, text string) string {
	t.Helper()
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	_, err := w.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return out.String()
}

func TestEachRowIsTold(t *testing.T) {
	d := newDistrict(t)
	// By hand: a.csv line 2 is the first of p1, line 3 equal to it, line 4 another value; b.csv line 2 equals what line 4 put in
	// force, line 3 goes back to the first value: a correction again. Lines 5 to 8 of a.csv cannot be used.
	d.deliver("passes/a.csv", passesHeader+
		pass("p1", "T1", "10", "100")+pass("p1", "T1", "10.0", "1e2")+pass("p1", "T1", "10", "120")+
		pass("p2", "T9", "10", "100")+pass("p3", "T1", "9.4", "100")+pass("p4", "T1", "10", "many")+"short,row\n")
	d.deliver("passes/b.csv", passesHeader+pass("p1", "T1", "10", "120")+pass("p1", "T1", "10", "100")+pass("p5", "T2", "9.5", ""))
	summary := d.night()
	assert.Equal(t, 2, summary.Files)
	assert.Equal(t, int64(10), summary.Rows)
	assert.Equal(t, []string{"passes|a.csv||7|1|1|1|4", "passes|b.csv||3|1|1|1|0"}, d.rows(intakeRows))
	assert.Equal(t, []string{"id:p1|100.0|b.csv|3", "id:p5||b.csv|4"},
		d.rows("select pass_key, dispensed_lb, file, line from passes order by pass_key"))
	assert.Equal(t, []string{
		"a.csv|5|truck_id|unknown truck|p2,T9,north,R1,2030-01-15 06:30,2030-01-15 07:10,10,20,nacl,100",
		"a.csv|6|from_mi|outside the route|p3,T1,north,R1,2030-01-15 06:30,2030-01-15 07:10,9.4,20,nacl,100",
		"a.csv|7|dispensed_lb|not a number|p4,T1,north,R1,2030-01-15 06:30,2030-01-15 07:10,10,20,nacl,many",
		"a.csv|8||fewer cells than the header|short,row",
	}, d.rows(`select file, line, "column", reason, raw from quarantine`))
	assert.Equal(t, []string{
		"T1|number|1||2030-01-15 13:30:00+00", "T1|outside_route|1|100.0|2030-01-15 13:30:00+00",
		"T9|unknown_truck|1|100.0|2030-01-15 13:30:00+00", "|fewer_cells|1||",
	}, d.rows("select truck_id, reason_code, rows, dispensed_lb, first_at from set_aside"))
}

func TestMendedReferenceBringsRowsBack(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T9", "10", "100"))
	d.night()
	assert.Empty(t, d.rows("select * from passes"))
	assert.Equal(t, []string{`truck_id "T9" is not in reference/trucks.csv; add it there, or correct the row`},
		d.rows("select remedy from quarantine"))
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into trucks by name select 'T9' as truck_id"))
	d.tell()
	assert.Equal(t, []string{"id:p1|100.0"}, d.rows("select pass_key, dispensed_lb from passes"))
	assert.Empty(t, d.rows("select * from quarantine"))
}

func TestKeyWithoutPassID(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("", "T1", "10", "100")+pass("", "T1", "10", "110")+pass("p1", "T1", "10", "100"))
	d.night()
	assert.Equal(t, []string{"at:T1@2030-01-15T13:30:00Z|110.0|3", "id:p1|100.0|4"},
		d.rows("select pass_key, dispensed_lb, line from passes order by pass_key"))
}

func TestSameContentUnderTwoNames(t *testing.T) {
	d := newDistrict(t)
	file := passesHeader + pass("p1", "T1", "10", "100")
	d.deliver("passes/b.csv", file)
	d.night()
	d.deliver("passes/a.csv", file)
	summary := d.night()
	assert.Equal(t, 0, summary.Contents, "the content is known")
	assert.Equal(t, []string{"passes|a.csv||1|1|0|0|0", "passes|b.csv|a.csv|0|0|0|0|0"}, d.rows(intakeRows))
	assert.Equal(t, []string{"a.csv"}, d.rows("select file from passes"))
}

func TestNewContentReplacesTheFormer(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100")+pass("p2", "T1", "10", "100"))
	d.night()
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "130"))
	d.night()
	assert.Equal(t, []string{"passes|a.csv||1|1|0|0|0"}, d.rows(intakeRows))
	assert.Equal(t, []string{"id:p1|130.0"}, d.rows("select pass_key, dispensed_lb from passes"))
	assert.Equal(t, []string{"1"}, d.rows("select count(*) from raw_passes"))
}

func TestVanishedFileStaysInForce(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.night()
	require.NoError(t, os.Remove(filepath.Join(d.dir, "inbox/passes/a.csv")))
	summary := d.night()
	assert.Equal(t, []intake.FileNote{{File: "inbox/passes/a.csv",
		Text: "no longer in the inbox; its rows stay in force from the archive"}}, summary.Vanished)
	assert.Equal(t, []string{"id:p1"}, d.rows("select pass_key from passes"))
}

func TestUnreadableFileDoesNotReplaceItsFormerContent(t *testing.T) {
	d := newDistrict(t)
	file := gzipped(t, passesHeader+pass("p1", "T1", "10", "100"))
	d.deliver("passes/a.csv.gz", file)
	d.deliver("passes/never.csv", "")
	d.night()
	d.deliver("passes/a.csv.gz", file[:len(file)-3])
	summary := d.night()
	require.Len(t, summary.Unreadable, 2)
	assert.Equal(t, []string{"passes|a.csv.gz||1|1|0|0|0", "passes|never.csv||0|0|0|0|0"}, d.rows(intakeRows))
	assert.Equal(t, []string{"a.csv.gz|0||damaged gzip|", "never.csv|0||empty file|"},
		d.rows(`select file, line, "column", reason, raw from quarantine`))
	d.deliver("passes/a.csv.gz", file)
	d.night()
	assert.Equal(t, []string{"never.csv|0"}, d.rows("select file, line from quarantine"))
}

func TestRejectedFileKeepsItsRows(t *testing.T) {
	d := newDistrict(t)
	value := "R1"
	d.deliver("passes/a.csv", "pass_id,truck_id,crew_id,began_at,ended_at\np1,T1,north,2030-01-15 06:30,2030-01-15 07:10\n\xff\n")
	summary := d.night()
	require.Len(t, summary.Rejected, 1)
	assert.Equal(t, []string{"passes|a.csv||2|0|0|0|2"}, d.rows(intakeRows))
	assert.Equal(t, []string{
		"2|route_id|required column missing|p1,T1,north,2030-01-15 06:30,2030-01-15 07:10", `3||not UTF-8|\xFF`,
	}, d.rows(`select line, "column", reason, raw from quarantine`))
	d.settings.Feeds["passes"] = contract.Mapping{Columns: map[string]contract.ColumnSource{"route_id": {Value: &value}}}
	require.NoError(t, os.RemoveAll(filepath.Join(d.dir, "inbox")))
	summary = d.night()
	assert.Empty(t, summary.Rejected)
	assert.Equal(t, []string{"passes|a.csv||2|1|0|0|1"}, d.rows(intakeRows), "a mended mapping revives the rows, from the archive too")
	assert.Equal(t, []string{"id:p1|R1"}, d.rows("select pass_key, route_id from passes"))
}

func TestTraceAndZeroDiffer(t *testing.T) {
	d := newDistrict(t)
	d.deliver("weather/w.csv",
		"station_id,observed_at,precip_in,present_wx\nS1,2030-01-15T06:00Z,T,-SN\nS1,2030-01-15T06:00Z,0,-SN\nS1,2030-01-15T07:00Z,"+
			"0.01,\nS2,2030-01-15T07:00Z,0,\nS1,2030-01-15T08:00Z,0,QQ\n")
	d.night()
	assert.Equal(t, []string{"weather|w.csv||5|2|0|1|2"}, d.rows(intakeRows))
	assert.Equal(t, []string{"2030-01-15 06:00:00+00|0.0|false|-SN", "2030-01-15 07:00:00+00|0.01|false|"},
		d.rows("select observed_at, precip_in, precip_is_trace, present_wx from observations"))
	assert.Equal(t, []string{"station_id|unknown station", "present_wx|not present weather"},
		d.rows(`select "column", reason from quarantine`))
}

// TestNamesOfFilesUnderway: a file is left alone under a name that it has until it is whole, and read under its own.
func TestNamesOfFilesUnderway(t *testing.T) {
	d := newDistrict(t)
	delivered := passesHeader + pass("p1", "T1", "10", "100")
	underway := []string{".a.csv", "a.csv.part", "a.csv.filepart", "a.csv.PARTIAL", "a.csv.tmp", "a.temp", "a.csv.crdownload",
		"a.csv.download", "a.upload", "a.incomplete", "a.csv.unfinished", "a.csv~", "sub/.a.csv"}
	for _, name := range underway {
		d.deliver("passes/"+name, delivered)
	}
	summary := d.night()
	require.Len(t, summary.NotRead, len(underway))
	assert.Contains(t, summary.NotRead[0].Text, "renamed")
	assert.Empty(t, d.rows("select file from quarantine"))
	assert.Empty(t, d.rows("select pass_key from passes"))
	for i, name := range []string{"part.csv", "tmp.a.csv", "~a.csv", "counterpart.csv", "a.csv"} {
		d.deliver("passes/"+name, passesHeader+pass("p"+strconv.Itoa(i), "T1", "10", "100"))
	}
	d.night()
	assert.Len(t, d.rows("select pass_key from passes"), 5)
}

// TestRefusalsOfGoneFilesLeaveTheList: what cannot be read is listed while it lies in the inbox, also by a night that was told so
// before; what it delivered before stays in force.
func TestRefusalsOfGoneFilesLeaveTheList(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.night()
	d.deliver("passes/a.csv", "\x00")
	d.deliver("passes/b.xyz", "PK")
	d.night()
	require.Equal(t, []string{"a.csv", "b.xyz"}, d.rows("select file from quarantine"))
	for _, name := range []string{"a.csv", "b.xyz"} {
		require.NoError(t, os.Remove(filepath.Join(d.dir, "inbox/passes", name)))
	}
	d.night()
	assert.Empty(t, d.rows("select file from quarantine"))
	assert.Equal(t, []string{"a.csv"}, d.rows("select file from intake"))
	assert.Equal(t, []string{"id:p1"}, d.rows("select pass_key from passes"))
	d.deliver("passes/b.xyz", "PK")
	d.night()
	assert.Equal(t, []string{"b.xyz"}, d.rows("select file from quarantine"))
}

func TestOtherFeedsAreTold(t *testing.T) {
	d := newDistrict(t)
	d.deliver("tickets/t.csv",
		"ticket_id,loaded_at,truck_id,stockpile_id,material_id,loaded_lb\n1,2030-01-15T06:00Z,T1,P,nacl,9000\n2,2030-01-15T06:00Z,T1,P,"+
			"sand,9000\n")
	d.deliver("stock/s.csv",
		"stockpile_id,material_id,at,kind,amount_lb\nP,nacl,2030-01-15T06:00Z,count,9000\nP,nacl,2030-01-15T06:00Z,delivery,9000\nP,"+
			"nacl,2030-01-15T06:00Z,count,9000\n")
	d.deliver("conditions/c.csv",
		"route_id,observed_at,cover\nR1,2030-01-16T06:00Z,slush\nR1,2030-01-16T06:00Z,ice\nR2,2030-01-15T06:00Z,ice\n")
	d.night()
	assert.Equal(t, []string{"conditions|c.csv||3|1|0|1|1", "stock|s.csv||3|2|1|0|0", "tickets|t.csv||2|1|0|0|1"}, d.rows(intakeRows))
	assert.Equal(t, []string{"ice"}, d.rows("select cover from conditions"))
	assert.Equal(t, []string{"2030-01-16 06:00:00+00"}, d.rows("select as_of_at from as_of"))
}

func TestWhatIsLeftAlone(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/jan.metar", "METAR\n")
	d.deliver("passes/.part.csv", "x\n")
	d.deliver("pases/a.csv", "x\n")
	d.deliver("passes/sheet.xlsx", "PK")
	summary := d.night()
	assert.Equal(t, []intake.FileNote{
		{File: "inbox/pases", Text: "not the folder of a feed; use breadcrumbs, conditions, passes, stock, tickets, weather"},
		{File: "inbox/passes/.part.csv", Text: "on its way, by its name; it is read once it is renamed"},
	}, summary.NotRead)
	assert.Equal(t, []string{"jan.metar|kind of file that is not read", "sheet.xlsx|kind of file that is not read"},
		d.rows("select file, reason from quarantine"))
}
