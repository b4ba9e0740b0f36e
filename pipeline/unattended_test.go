package pipeline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// TestUnitsStandUpToSystemd holds the written units against systemd's own reader, also for a folder whose name needs quoting.
func TestUnitsStandUpToSystemd(t *testing.T) {
	for _, name := range []string{"winter", `our "winter" 100 % $HOME`} {
		dir := filepath.Join(t.TempDir(), name)
		_, words, code := lanetally(t, "new", "--units", dir)
		require.Zero(t, code, words)
		_, words, code = lanetally(t, "new", "--units", dir)
		require.Zero(t, code, "a district that is there gets its units: %s", words)
		units := filepath.Join(dir, "units")
		service, err := os.ReadFile(filepath.Join(units, "lanetally.service"))
		require.NoError(t, err)
		for _, wanted := range []string{"OnFailure=lanetally-failed.service", "MemoryMax=", "SystemCallFilter=", "ProtectProc=",
			"PrivateNetwork=yes", "ProtectSystem=strict", "PrivateTmp=yes", "NoNewPrivileges=yes",
			"ReadWritePaths="} {
			assert.Contains(t, string(service), wanted)
		}
		timer, err := os.ReadFile(filepath.Join(units, "lanetally.timer"))
		require.NoError(t, err)
		assert.Contains(t, string(timer), "OnCalendar=*-*-* 04:15\nPersistent=true\n")
		assertCronLine(t, dir)
		if _, err := exec.LookPath("systemd-analyze"); err != nil {
			t.Skip("systemd-analyze is not here")
		}
		verify := exec.Command("systemd-analyze", "verify", "--man=no", filepath.Join(units, "lanetally.service"),
			filepath.Join(units, "lanetally-failed.service"), filepath.Join(units, "lanetally.timer"))
		output, err := verify.CombinedOutput()
		require.NoError(t, err, string(output))
		assert.NotContains(t, string(output), "lanetally.", "a word about our units is a warning")
		for _, name := range []string{"lanetally.service", "lanetally-failed.service"} {
			output, err := exec.Command("systemd-analyze", "security", "--offline=true", filepath.Join(units, name)).CombinedOutput()
			require.NoError(t, err, string(output))
			exposure := regexp.MustCompile(`Overall exposure level for \S+: ([0-9.]+) `).FindStringSubmatch(string(output))
			require.NotNil(t, exposure, string(output))
			level, err := strconv.ParseFloat(exposure[1], 64)
			require.NoError(t, err)
			assert.LessOrEqual(t, level, 2.0, name)
		}
		calendar, err := exec.Command("systemd-analyze", "calendar", "*-*-* 04:15").CombinedOutput()
		require.NoError(t, err, string(calendar))
		assert.Contains(t, string(calendar), "*-*-* 04:15:00")
	}
}

// assertCronLine gives the cron line's command to a shell, as cron does after it took \% for %, with echo for the program.
func assertCronLine(t *testing.T, dir string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "units", "lanetally.cron"))
	require.NoError(t, err)
	line := strings.TrimSpace(string(text[bytes.LastIndexByte(bytes.TrimSpace(text), '\n')+1:]))
	require.True(t, strings.HasPrefix(line, "15 4 * * * "), line)
	command := strings.ReplaceAll(strings.TrimPrefix(line, "15 4 * * * "), `\%`, "%")
	program, err := os.Executable()
	require.NoError(t, err)
	command = strings.Replace(command, cronText(program), "printf '%s|'", 1)
	output, err := exec.Command("sh", "-c", command).Output()
	require.NoError(t, err)
	assert.Equal(t, "nightly|"+dir+"|", string(output))
}

// TestFailureIsTold: [notify] command gets the report on standard input, its arguments as they are, and no shell; a night that publishes
// tells nobody.
func TestFailureIsTold(t *testing.T) {
	dir := copyTiny(t)
	told := filepath.Join(t.TempDir(), "told")
	addText(t, filepath.Join(dir, "district.toml"),
		fmt.Sprintf("\n[notify]\ncommand = [\"tee\", %q, \"; touch %s-by-a-shell\"]\n", told, told))
	t.Chdir(t.TempDir())
	mustNight(t, dir, faultNow)
	assert.NoFileExists(t, told)
	passLines(t, filepath.Join(dir, "inbox/passes/2028-01.csv"), 4)
	_, err := tryNight(t, dir, 1, "")
	require.Equal(t, exitReference, ExitCode(err), "%v", err)
	text, err := os.ReadFile(told)
	require.NoError(t, err)
	assert.Contains(t, string(text), "pounds fell")
	assert.NoFileExists(t, told+"-by-a-shell")
}

// TestReportSaysWhatTheLedgerHolds: every number of the readable report is asked of the ledger, and of the figures for those who watch.
func TestReportSaysWhatTheLedgerHolds(t *testing.T) {
	dir := copyTiny(t)
	addFile(t, dir, "passes/2028-02.csv", lateDelivery+"p91,t99,c2,r2,2028-01-10 09:30,2028-01-10 10:00,0,10,1,salt,2100,no,storm\n")
	report := mustNight(t, dir, faultNow)
	text, err := os.ReadFile(filepath.Join(dir, "log", report.Release+".txt"))
	require.NoError(t, err)
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	asked := map[string]string{
		"files in force":        "select count(*) from delivery_files where sha256 is not null",
		"contents read tonight": "select count(*) from contents",
		"rows read tonight":     "select sum(row_count)::bigint from contents",
		"rows in force":         "select sum(rows_read)::bigint from intake",
		"accepted":              "select sum(accepted)::bigint from intake", "duplicates": "select sum(duplicates)::bigint from intake",
		"corrections":          "select sum(corrections)::bigint from intake",
		"rows and files aside": "select coalesce(sum(rows), 0)::bigint from quarantine",
		"storms":               "select count(distinct storm_id) from storms",
		"open":                 "select count(distinct storm_id) from storms where is_open",
		"passes":               "select count(*) from passes", "outside storms": "select count(*) from storm_passes where storm_id is null",
		"pounds spread": "select round(sum(applied_lb))::bigint from (select applied_lb from storm_routes union all select applied_lb " +
			"from outside_storms)",
		"findings": "select count(*) from findings",
	}
	numbers := 0
	for _, line := range regexp.MustCompile(`(?m)^ *([a-z ]+?) {2,}(\d+)$`).FindAllStringSubmatch(string(text), -1) {
		query, isAsked := asked[line[1]]
		require.True(t, isAsked, line[1])
		assert.Equal(t, []string{line[2]}, textRows(t, l, query), line[1])
		numbers++
	}
	assert.Equal(t, len(asked), numbers)

	samples, err := os.ReadFile(filepath.Join(dir, "log", promName))
	require.NoError(t, err)
	sample := regexp.MustCompile(`(?m)^(# (HELP|TYPE) lanetally_[a-z_]+ .+|lanetally_[a-z_]+ [0-9.e+]+)$`)
	for _, line := range strings.Split(strings.TrimSpace(string(samples)), "\n") {
		assert.Regexp(t, sample, line)
	}
	assert.Contains(t, string(samples), "\nlanetally_last_run_success 1\n")
	assert.Contains(t, string(samples), "\nlanetally_passes "+strconv.FormatInt(report.Counts.Passes, 10)+"\n")

	lines, err := os.ReadFile(filepath.Join(dir, "log", report.Release+".jsonl"))
	require.NoError(t, err)
	steps := 0
	for _, line := range bytes.Split(bytes.TrimSpace(lines), []byte{'\n'}) {
		var entry struct{ Step string }
		require.NoError(t, json.Unmarshal(line, &entry))
		steps++
	}
	assert.Equal(t, len(nightSteps), steps)
}

// TestNightsLeakNothing: no goroutine and no descriptor stays after a night, published or failed.
func TestNightsLeakNothing(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow) // what is made once stays
	runtime.GC()
	goroutines, descriptors := runtime.NumGoroutine(), openDescriptors(t)
	for day := 1; day <= 2; day++ {
		mustNight(t, dir, faultNow.AddDate(0, 0, day))
	}
	passLines(t, filepath.Join(dir, "inbox/passes/2028-01.csv"), 4)
	_, err := tryNight(t, dir, 3, "")
	require.Error(t, err)
	_, err = Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, 4), Words: os.Stderr,
		files: failAt(60, diskErrors[0])})
	require.Error(t, err)
	runtime.GC()
	assert.LessOrEqual(t, runtime.NumGoroutine(), goroutines+1)
	assert.LessOrEqual(t, openDescriptors(t), descriptors+1)
}

func openDescriptors(t *testing.T) int {
	t.Helper()
	entries, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Skip("this system does not list descriptors")
	}
	return len(entries)
}
