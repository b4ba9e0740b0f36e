package pipeline

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/release"
)

// isTorture tells a run of the long versions: make torture.
var isTorture = os.Getenv("LANETALLY_TORTURE") == "1"

// faultNow is the instant of the first night of the tests of faults; the tiny district's data end two months before.
var faultNow = time.Date(2028, 3, 6, 11, 15, 0, 0, time.UTC)

// lateDelivery corrects one pass of the tiny district and adds another: the exports after it differ from those before.
const lateDelivery = "" +
	"pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,lanes,material_id,dispensed_lb,plow_down,purpose\n" +
	"p02,t2,c2,r2,2028-01-10 05:30,2028-01-10 06:00,0,10,1,salt,2600,no,storm\n" +
	"p90,t2,c2,r2,2028-01-10 07:30,2028-01-10 08:00,0,10,1,salt,2100,no,storm\n"

// quickDir is a folder that goes with the test, in memory where the machine has such a place: these tests sync thousands of files.
func quickDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "lanetally") //nolint:usetesting // t.TempDir lies on the disk
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { assert.NoError(t, os.RemoveAll(dir)) })
	require.NoError(t, os.Chmod(dir, 0o755))
	return dir
}

// copyTiny copies the tiny district, without a ledger or a release.
func copyTiny(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(quickDir(t), "tiny")
	require.NoError(t, os.CopyFS(dir, os.DirFS(tinyFolder)))
	return dir
}

// copyDistrict copies a district folder with its link.
func copyDistrict(t *testing.T, from string) string {
	t.Helper()
	dir := filepath.Join(quickDir(t), "copy")
	require.NoError(t, os.CopyFS(dir, os.DirFS(from)))
	return dir
}

// addFile writes a delivery below inbox/.
func addFile(t *testing.T, dir, name, content string) {
	t.Helper()
	path := filepath.Join(dir, "inbox", name)
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
}

// mustNight runs a night that publishes.
func mustNight(t *testing.T, dir string, now time.Time) *RunReport {
	t.Helper()
	report, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: now, Words: io.Discard})
	require.NoError(t, err)
	require.True(t, report.IsPublished)
	return report
}

// exportsOf is one hash over the live exports.
func exportsOf(t *testing.T, dir string) string {
	t.Helper()
	return treeHash(t, filepath.Join(dir, "current", "data"))
}

// assertWhole asks that the live release is one whole release, and that nothing half done lies about it.
func assertWhole(t *testing.T, dir, when string) {
	t.Helper()
	findings, err := release.CompareRelease(filepath.Join(dir, "current") + "/")
	require.NoError(t, err, when)
	assert.Empty(t, findings, when)
}

// faultCase is a district with a published night, the same with a late delivery in its inbox, and the exports without and with it.
type faultCase struct{ dir, before, after string }

// newFaultCase makes it once for each test.
func newFaultCase(t *testing.T) faultCase {
	t.Helper()
	c := faultCase{dir: copyTiny(t)}
	addPositions(t, c.dir)
	mustNight(t, c.dir, faultNow)
	c.before = exportsOf(t, c.dir)
	addFile(t, c.dir, "passes/2028-02.csv", lateDelivery)
	addLatePositions(t, c.dir)
	undisturbed := copyDistrict(t, c.dir)
	mustNight(t, undisturbed, faultNow.AddDate(0, 0, 1))
	c.after = exportsOf(t, undisturbed)
	require.NotEqual(t, c.before, c.after)
	return c
}

// childNight is a night in a process of its own, and what befalls it. It crosses to the child as JSON.
type childNight struct {
	Dir          string
	Now          time.Time
	KillAtStep   string // SIGKILL as this step begins
	KillAtFile   int    // SIGKILL as the N-th operation of the file layer begins
	StarveAtStep string // no more memory, but for 16 MB, from this step on
	HangAtStep   string // this step never begins; the file hung in Dir says so
	FileLimit    uint64 // RLIMIT_FSIZE in bytes
	UID          int    // the user that it becomes
}

const childNightVariable = "LANETALLY_TEST_CHILD_NIGHT"

// TestChildNight is no test: it is the body of the child process that start begins.
func TestChildNight(t *testing.T) {
	text := os.Getenv(childNightVariable)
	if text == "" {
		t.Skip("runs only as a child of the tests of faults")
	}
	var child childNight
	require.NoError(t, json.Unmarshal([]byte(text), &child))
	if child.FileLimit > 0 {
		signal.Ignore(syscall.SIGXFSZ)
		require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: child.FileLimit, Max: child.FileLimit}))
	}
	if child.UID > 0 {
		require.NoError(t, syscall.Setuid(child.UID))
	}
	die := func() { _ = syscall.Kill(os.Getpid(), syscall.SIGKILL); select {} }
	var mutex sync.Mutex
	count := 0
	options := NightlyOptions{Dir: child.Dir, Now: child.Now, Words: io.Discard, reached: func(step string) {
		switch step {
		case child.KillAtStep:
			die()
		case child.StarveAtStep:
			starve(t)
		case child.HangAtStep:
			_ = os.WriteFile(filepath.Join(child.Dir, "hung"), nil, 0o644)
			time.Sleep(time.Hour)
		}
	}}
	options.files.Before = func(string, string) error {
		mutex.Lock()
		defer mutex.Unlock()
		if count++; count == child.KillAtFile {
			die()
		}
		return nil
	}
	_, err := Nightly(t.Context(), options)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	os.Exit(ExitCode(err))
}

// starve limits the process to the memory that it has and 16 MB. Common practice: the first field of /proc/self/statm is its pages.
func starve(t *testing.T) {
	t.Helper()
	text, err := os.ReadFile("/proc/self/statm")
	require.NoError(t, err)
	pages, err := strconv.ParseUint(strings.Fields(string(text))[0], 10, 64)
	require.NoError(t, err)
	limit := pages*uint64(os.Getpagesize()) + 16<<20
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_AS, &syscall.Rlimit{Cur: limit, Max: limit}))
}

// start begins the child.
func (c childNight) start(t *testing.T, stderr io.Writer) *exec.Cmd {
	t.Helper()
	text, err := json.Marshal(c)
	require.NoError(t, err)
	command := exec.Command(os.Args[0], "-test.run=^TestChildNight$")
	command.Env = append(os.Environ(), childNightVariable+"="+string(text))
	command.Stderr = stderr
	require.NoError(t, command.Start())
	return command
}

// run waits for the child and tells its exit code, -1 where a signal ended it.
func (c childNight) run(t *testing.T) (code int, stderr string) {
	t.Helper()
	words := new(strings.Builder)
	command := c.start(t, words)
	_ = command.Wait() // the state says it all
	return command.ProcessState.ExitCode(), words.String()
}

// faultResult is a line of the table that a torture run leaves behind.
type faultResult struct {
	fault  string
	count  int // how many times it was tried
	result string
	began  time.Time
}

const (
	resultsHead = "# Results of the last torture run\n\nWritten by `make torture`, row by row as its parts end; a part that did not " +
		"run has no row, or says why.\n" +
		"Times are wall time, on a machine that may have had other work.\n\n"
	resultsColumns = "| fault | times | result | seconds |\n|---|---|---|---|\n"
)

// beginResult begins a line of testdata/faults/RESULTS.md. A torture run writes it when the test ends, whatever the outcome.
func beginResult(t *testing.T, fault, result string) *faultResult {
	t.Helper()
	r := &faultResult{fault: fault, result: result, began: time.Now()}
	if isTorture {
		t.Cleanup(func() { r.write(t) })
	}
	return r
}

// notRun skips the test, and says so in the table.
func (r *faultResult) notRun(t *testing.T, why string) {
	t.Helper()
	r.result = "NOT RUN: " + why
	t.Skip(why)
}

// write puts the line into the table, in place of a former one of the same fault.
func (r *faultResult) write(t *testing.T) {
	if t.Failed() {
		r.result = "FAILED: " + r.result
	}
	path := filepath.Join(repoRoot, "testdata", "faults", "RESULTS.md")
	former, err := os.ReadFile(path)
	if !os.IsNotExist(err) {
		assert.NoError(t, err)
	}
	rows := []string{fmt.Sprintf("| %s | %d | %s | %.0f |", r.fault, r.count, r.result, time.Since(r.began).Seconds())}
	for _, line := range strings.Split(string(former), "\n") {
		isRow := strings.HasPrefix(line, "| ") && !strings.HasPrefix(line, "| fault |")
		if isRow && !strings.HasPrefix(line, "| "+r.fault+" |") {
			rows = append(rows, line)
		}
	}
	slices.Sort(rows)
	machine := fmt.Sprintf("%s on %s/%s, %d cores.\n\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.NumCPU())
	assert.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	assert.NoError(t, os.WriteFile(path, []byte(resultsHead+machine+resultsColumns+strings.Join(rows, "\n")+"\n"), 0o644))
}
