package pipeline

import (
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
)

// TestManyNights simulates nights with a delivery that grows, and with faults by seed: operations that fail, kills, a ledger that is gone
// or cut. The disk stays bounded, nothing leaks, and the last exports are those of one night over everything.
func TestManyNights(t *testing.T) {
	r := beginResult(t, "simulated nights with random faults", "last exports right; disk bounded; no goroutine or descriptor left")
	nights, random := 8, rand.New(rand.NewPCG(20290211, 12))
	if isTorture {
		nights = 200
	}
	dir := copyTiny(t)
	addText(t, filepath.Join(dir, "district.toml"), "keep_releases = 3\n")
	mustNight(t, dir, faultNow)
	goroutines, descriptors := runtime.NumGoroutine(), openDescriptors(t)
	for ; r.count < nights; r.count++ {
		addFile(t, dir, "passes/night.csv", hostileHeader+growingRows(r.count+1))
		faultyNight(t, dir, r.count+1, random)
	}
	mustNight(t, dir, faultNow.AddDate(0, 0, nights+1))
	once := copyTiny(t)
	addFile(t, once, "passes/night.csv", hostileHeader+growingRows(nights))
	mustNight(t, once, faultNow)
	assert.Equal(t, exportsOf(t, once), exportsOf(t, dir))
	assertDiskBounded(t, dir, once, nights)
	runtime.GC()
	assert.LessOrEqual(t, runtime.NumGoroutine(), goroutines+2)
	assert.LessOrEqual(t, openDescriptors(t), descriptors+2)
}

// faultyNight runs one night with a fault drawn from random, or with none.
func faultyNight(t *testing.T, dir string, night int, random *rand.Rand) {
	t.Helper()
	now, ledger := faultNow.AddDate(0, 0, night), filepath.Join(dir, "ledger.duckdb")
	options := NightlyOptions{Dir: dir, Now: now, Words: io.Discard, Accept: "simulated"}
	switch fault := random.IntN(8); fault {
	case 0, 1:
		options.files = failAt(1+random.IntN(500), diskErrors[random.IntN(3)])
	case 2:
		require.NoError(t, os.RemoveAll(ledger))
	case 3:
		if size, err := disk.BytesBelow(ledger); err == nil {
			require.NoError(t, os.Truncate(ledger, random.Int64N(size+1)))
		}
	case 4:
		code, words := childNight{Dir: dir, Now: now, KillAtFile: 1 + random.IntN(400)}.run(t)
		require.Contains(t, []int{-1, exitDone, exitReference}, code, words)
		assertWhole(t, dir, now.String())
		return
	}
	if _, err := Nightly(t.Context(), options); err != nil {
		require.Equal(t, exitFiles, ExitCode(err), "%v", err)
	}
	assertWhole(t, dir, now.String())
}

// assertDiskBounded holds what many nights left against what one night over the same deliveries leaves.
func assertDiskBounded(t *testing.T, dir, once string, nights int) {
	t.Helper()
	size := func(path string) int64 {
		bytes, err := disk.BytesBelow(path)
		require.NoError(t, err, path)
		return bytes
	}
	ids, err := release.ReleaseIDs(dir)
	require.NoError(t, err)
	assert.LessOrEqual(t, len(ids), 3+nights/28+2, "keep_releases, and one a month")
	for _, id := range ids {
		assert.LessOrEqual(t, size(filepath.Join(dir, "releases", id)), 2*size(filepath.Join(once, "current")+"/"), id)
	}
	ledgers, err := filepath.Glob(filepath.Join(dir, "ledger*"))
	require.NoError(t, err)
	assert.LessOrEqual(t, len(ledgers), 4, "%v: ledgers moved aside must not pile up", ledgers)
	assert.LessOrEqual(t, size(filepath.Join(dir, "ledger.duckdb")), 4*size(filepath.Join(once, "ledger.duckdb")))
	assert.LessOrEqual(t, size(filepath.Join(dir, "log")), int64(nights+2)*32<<10, "32 KiB a night")
	contents, err := filepath.Glob(filepath.Join(dir, "archive", "passes", "*.parquet"))
	require.NoError(t, err)
	assert.LessOrEqual(t, len(contents), nights+1, "one archive file for each content")
}

func growingRows(night int) string {
	rows := ""
	for i := range night {
		rows += hostileRow("n"+string(rune('a'+i%26))+strings.Repeat("x", i/26), "t2",
			"2028-01-10 08:"+string([]byte{'0' + byte(i/10%6), '0' + byte(i%10)}), "100")
	}
	return rows
}

const lateRow = "p95,t2,c2,r2,2028-01-10 08:30,2028-01-10 08:40,0,10,1,salt,100,no,storm\n"

// nightWhileWritten runs a night in which write is called between the inspection of the first new pass delivery and its reading.
func nightWhileWritten(t *testing.T, dir string, now time.Time, write func() error) *RunReport {
	t.Helper()
	isWritten := false
	options := NightlyOptions{Dir: dir, Now: now, Words: io.Discard}
	options.files.Before = func(operation, path string) error {
		if operation == "open" && strings.Contains(path, filepath.Join("archive", "passes")) && !isWritten {
			isWritten = true
			return write()
		}
		return nil
	}
	report, err := Nightly(t.Context(), options)
	require.NoError(t, err)
	require.True(t, isWritten)
	return report
}

// TestFileThatChangesInTheNight: a delivery that another program writes anew is left for the next night, named, and everything else is
// loaded.
func TestFileThatChangesInTheNight(t *testing.T) {
	dir := copyTiny(t)
	growing := filepath.Join(dir, "inbox", "passes", "2028-02.csv")
	addFile(t, dir, "passes/2028-02.csv", lateDelivery)
	require.NoError(t, os.Rename(filepath.Join(dir, "inbox/passes/2028-01.csv"), filepath.Join(dir, "inbox/passes/2028-03.csv")))
	report := nightWhileWritten(t, dir, faultNow, func() error {
		return os.WriteFile(growing, []byte(strings.Replace(lateDelivery, "\n", "\n"+lateRow, 1)), 0o644)
	})
	assert.Equal(t, []intake.FileNote{{File: "inbox/passes/2028-02.csv",
		Text: "changed while it was read; it is read again the next night"}}, report.Load.Changed)
	assert.Equal(t, int64(10), report.Counts.Passes, "the passes of the other file")
	report = mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.Empty(t, report.Load.Changed)
	assert.Equal(t, int64(12), report.Counts.Passes, "and p90 and p95; p02 is corrected")
}

// TestFileThatIsAlwaysAppendedTo: of a CSV file that grows in every night the whole lines count that it had when it was opened, half a line
// not; a packed file waits. From the second night in a row on both are findings, until they rest.
func TestFileThatIsAlwaysAppendedTo(t *testing.T) {
	dir := copyTiny(t)
	growing, packed := filepath.Join(dir, "inbox/passes/2028-02.csv"), filepath.Join(dir, "inbox/passes/2028-00.csv.gz")
	addFile(t, dir, "passes/2028-02.csv", lateDelivery+lateRow[:9])
	require.NoError(t, os.Rename(filepath.Join(dir, "inbox/passes/2028-01.csv"), filepath.Join(dir, "inbox/passes/2028-03.csv")))
	report := nightWhileWritten(t, dir, faultNow, func() error { addText(t, growing, lateRow[9:]); return nil })
	assert.Equal(t, []intake.FileNote{{File: "inbox/passes/2028-02.csv",
		Text: "grew while it was read; its whole lines up to there are loaded, the others the next night"}}, report.Load.Changed)
	assert.Equal(t, int64(11), report.Counts.Passes, "and p90; p02 is corrected")
	assert.Equal(t, int64(0), report.Counts.Quarantined)
	assert.NotContains(t, findingsOf(t, dir), "never_at_rest")

	addText(t, growing, strings.Replace(lateRow, "p95", "p96", 1))
	report = nightWhileWritten(t, dir, faultNow.AddDate(0, 0, 1), func() error { addText(t, growing, "p97,"); return nil })
	assert.Equal(t, int64(13), report.Counts.Passes, "and p95 and p96")
	assert.Contains(t, findingsOf(t, dir), "never_at_rest passes/2028-02.csv 2")

	require.NoError(t, os.WriteFile(packed, []byte(gzipped(t, lateDelivery)), 0o644))
	addText(t, growing, strings.TrimPrefix(lateRow, "p95,"))
	for night := 2; night < 4; night++ {
		report = nightWhileWritten(t, dir, faultNow.AddDate(0, 0, night), func() error { addText(t, packed, gzipped(t, "\n")); return nil })
		require.Len(t, report.Load.Changed, 1)
	}
	assert.Equal(t, []string{"never_at_rest passes/2028-00.csv.gz 2"}, findingsOf(t, dir))
	report = mustNight(t, dir, faultNow.AddDate(0, 0, 5))
	assert.Empty(t, report.Load.Changed)
}

// findingsOf are the findings about files that never rest, of the last night.
func findingsOf(t *testing.T, dir string) (found []string) {
	t.Helper()
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	defer l.Close()
	lines, err := ledger.ReadTable[struct {
		Text string `db:"text"`
	}](t.Context(), l, `select finding_code || ' ' || subject_id || ' ' || cast(amount as bigint) as text from findings
		where subject_kind = 'file' order by text`)
	require.NoError(t, err)
	for _, line := range lines {
		found = append(found, line.Text)
	}
	return found
}

// TestNamesThatDifferByCase: ids of every kind that differ by case alone stay apart in the figures, and no two files of a release share a
// name on a disk that does not tell the cases apart.
func TestNamesThatDifferByCase(t *testing.T) {
	dir := copyTiny(t)
	for file, lines := range map[string]string{
		"zones.csv": "Ridge,Upper,Hill\n", "stations.csv": "ST1,Ridge,Top\n", "routes.csv": "R2,Other,Ridge,0,10,2,1,20\n",
		"crews.csv":  "C2,Other,\n",
		"trucks.csv": "T2\n", "materials.csv": "SALT,Other salt,chloride,solid,70,,0.6066,15\n",
		"assignments.csv": "R2,2027-10-01,,chloride,C2\n",
	} {
		addText(t, filepath.Join(dir, "reference", file), lines)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "reference/storms.csv"), []byte("zone_id,began_at,ended_at,name\n"+
		"ridge,2028-01-18 05:00,2028-01-18 09:00,Blow\nRidge,2028-01-18 05:00,2028-01-18 09:00,blow\n"), 0o644))
	weather, err := os.ReadFile(filepath.Join(dir, "inbox/weather/2028-01.csv"))
	require.NoError(t, err)
	addFile(t, dir, "weather/other.csv", strings.ReplaceAll(string(weather), "st1", "ST1"))
	header, _, _ := strings.Cut(lateDelivery, "\n")
	addFile(t, dir, "passes/Late.csv", header+"\nx1,T2,C2,R2,2028-01-10 05:30,2028-01-10 06:00,0,10,1,SALT,777,no,storm\n")
	addFile(t, dir, "passes/late.csv", header+"\nX1,t2,c2,r2,2028-01-10 08:30,2028-01-10 09:00,0,10,1,salt,1000,no,storm\n")
	addText(t, filepath.Join(dir, "district.toml"), "\n[publish]\ncrew_pages = \"all\"\n")
	mustNight(t, dir, faultNow)
	pounds := map[string]string{}
	for _, row := range readExport(t, dir, "crew_storms")[1:] {
		pounds[strings.Join(row[1:4], " ")+" "+row[5]] = row[9]
	}
	// By hand: the only pass of R2 is x1; r2 had p01 (914 lb of liquid apart), p02, p03 and X1: 2500 + 2300 + 1000 lb of salt.
	assert.Equal(t, "777", pounds["Hill-20280110 C2 R2 solid"], "%v", pounds)
	assert.Equal(t, "5800", pounds["hill-20280110 c2 r2 solid"], "%v", pounds)
	folded := map[string]string{}
	require.NoError(t, filepath.WalkDir(filepath.Join(dir, "current")+"/", func(path string, entry fs.DirEntry, err error) error {
		lower := strings.ToLower(path)
		assert.Empty(t, folded[lower], "%s differs by case alone", path)
		folded[lower] = path
		return err
	}))
	assert.Greater(t, len(folded), 60)
	findings, err := release.VerifyDistrict(t.Context(), dir)
	require.NoError(t, err)
	assert.Empty(t, findings)
}

// TestFormulasInNames: a name that a spreadsheet would take for a formula is a plain text in every export in CSV, and itself in Parquet.
func TestFormulasInNames(t *testing.T) {
	dir := copyTiny(t)
	formula := `=cmd|'/c x'!A1`
	for file, lines := range map[string]string{
		"routes.csv": formula + ",Other,ridge,0,10,2,1,20\n", "crews.csv": "@crew,Other,\n", "trucks.csv": "+t\n",
		"assignments.csv": formula + ",2027-10-01,,chloride,@crew\n",
	} {
		addText(t, filepath.Join(dir, "reference", file), lines)
	}
	header, _, _ := strings.Cut(lateDelivery, "\n")
	addFile(t, dir, "passes/-late.csv", header+"\n-1,+t,@crew,"+formula+",2028-01-10 05:30,2028-01-10 06:00,0,10,1,salt,777,no,storm\n")
	mustNight(t, dir, faultNow)
	seen := map[string]bool{}
	for _, name := range []string{"storm_routes", "crew_storms", "intake", "storms", "timing"} {
		for _, row := range readExport(t, dir, name)[1:] {
			for _, cell := range row {
				seen[cell] = true
			}
		}
	}
	for _, text := range []string{formula, "@crew", "-late.csv"} {
		assert.True(t, seen["'"+text], text)
		assert.False(t, seen[text], text)
	}
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, l.Close()) })
	ddl, err := ledger.TableDDL("last_storm_routes")
	require.NoError(t, err)
	require.NoError(t, l.Exec(t.Context(), ddl))
	require.NoError(t, release.FillLastTable(t.Context(), l, "last_storm_routes",
		filepath.Join(dir, "current", "data", "storm_routes.parquet")))
	assert.Equal(t, []string{formula}, textRows(t, l, "select distinct route_id from last_storm_routes where route_id like '=%'"))
}
