package pipeline

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
)

// statusText is what status says some hours after the second night of the tests of faults began.
func statusText(t *testing.T, dir string, afterH int) string {
	t.Helper()
	status, err := readStatus(dir, faultNow.AddDate(0, 0, 1).Add(time.Duration(afterH)*time.Hour))
	require.NoError(t, err)
	return strings.Join(status.Findings, "\n")
}

// assertToldUntilTheNextNight: status says how the night of the tests of faults ended, and no longer after the next.
func assertToldUntilTheNextNight(t *testing.T, dir, told string) {
	t.Helper()
	assert.Contains(t, statusText(t, dir, 0), told)
	mustNight(t, dir, faultNow.AddDate(0, 0, 2))
	assert.NotContains(t, statusText(t, dir, 24), " run ")
}

// TestKilledNightsAreTold: status tells a night that left no end, whatever ended it.
func TestKilledNightsAreTold(t *testing.T) {
	r := beginResult(t, "a night is killed, starved or filled up", "told by status until the next night")
	base := copyTiny(t)
	mustNight(t, base, faultNow)
	steps := []nightStep{nightSteps[5]}
	if isTorture {
		steps = nightSteps
	}
	for _, step := range steps {
		dir := copyDistrict(t, base)
		code, words := childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1), KillAtStep: step.name}.run(t)
		require.Equal(t, -1, code, words)
		figures, err := os.ReadFile(filepath.Join(dir, "log", promName))
		require.NoError(t, err)
		assert.Contains(t, string(figures), "\nlanetally_last_run_ended 0\n")
		assertToldUntilTheNextNight(t, dir, "did not end: it was killed")

		dir = copyDistrict(t, base)
		code, words = childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1), StarveAtStep: step.name}.run(t)
		if code != exitDone { // some steps ask for no memory
			assertToldUntilTheNextNight(t, dir, "run ")
		}
		assert.True(t, code != exitDone || step.name != "tally", words)
		r.count += 2
	}
}

// TestFullDiskFromTheBeginIsTold: a run that can write nothing at all removes the word of the one before, which ended well.
func TestFullDiskFromTheBeginIsTold(t *testing.T) {
	r := beginResult(t, "a full disk from the begin", "exit 74, told by status until the next night")
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	full := disk.Layer{Before: func(operation, _ string) error {
		if operation == "write" {
			return syscall.ENOSPC
		}
		return nil
	}}
	_, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, 1), Words: io.Discard, files: full})
	require.Equal(t, exitFiles, ExitCode(err))
	assert.NoFileExists(t, filepath.Join(dir, "log", promName))
	assertToldUntilTheNextNight(t, dir, "the last run left no report")
	r.count++
}

// TestHungNightIsTold: a run that goes on is none of status' business for two hours; ended from outside, or with its machine, it is.
func TestHungNightIsTold(t *testing.T) {
	r := beginResult(t, "a night hangs", "told by status after two hours, and once it is ended")
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	command := childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1), HangAtStep: "tally"}.start(t, io.Discard)
	hung := filepath.Join(dir, "hung")
	require.Eventually(t, func() bool { _, err := os.Stat(hung); return err == nil }, 20*time.Second, 10*time.Millisecond)
	assert.NotContains(t, statusText(t, dir, 2), " run ")
	assert.Contains(t, statusText(t, dir, 3), fmt.Sprintf("has not ended after 3.0 h: look at process %d", command.Process.Pid))
	text, err := os.ReadFile(filepath.Join(dir, "log", lastRunName))
	require.NoError(t, err)
	var report RunReport
	require.NoError(t, json.Unmarshal(text, &report))
	report.Begun.BootID = "of another boot"
	rebooted, err := json.Marshal(report)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "log", lastRunName), rebooted, 0o644))
	assert.Contains(t, statusText(t, dir, 0), "the machine went down")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "log", lastRunName), text, 0o644))
	require.NoError(t, command.Process.Kill())
	_ = command.Wait()
	assertToldUntilTheNextNight(t, dir, "did not end: it was killed")
	r.count++
}

// teller makes a notifying program that keeps what it is given, and asks for its text.
func teller(t *testing.T, dir string) (told func() string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "told")
	addText(t, filepath.Join(dir, "district.toml"), fmt.Sprintf("\n[notify]\ncommand = [\"tee\", %q]\n", path))
	return func() string {
		text, err := os.ReadFile(path)
		if err != nil {
			return ""
		}
		require.NoError(t, os.Remove(path))
		return string(text)
	}
}

// TestFaultsOfSettingsAreTold: the notifying program is found in a district.toml that is at fault elsewhere, and runs for a fault of a
// reference table.
func TestFaultsOfSettingsAreTold(t *testing.T) {
	for name, damage := range map[string]func(dir string){
		"gate_drop_pct": func(dir string) {
			text, err := os.ReadFile(filepath.Join(dir, "district.toml"))
			require.NoError(t, err)
			text = append([]byte("gate_drop_pct = \"much\"\n"), text...)
			require.NoError(t, os.WriteFile(filepath.Join(dir, "district.toml"), text, 0o644))
		},
		"expected":   func(dir string) { addText(t, filepath.Join(dir, "district.toml"), "\n[publish\ncrew_pages = own\n") },
		"routes.csv": func(dir string) { addText(t, filepath.Join(dir, "reference/routes.csv"), "r1,again,nowhere\n") },
	} {
		dir := copyTiny(t)
		told := teller(t, dir)
		damage(dir)
		_, err := tryNight(t, dir, 0, "")
		require.Contains(t, []int{exitSettings, exitReference}, ExitCode(err), err)
		assert.Contains(t, told(), name)
		_, err = Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow, Silent: true})
		require.Error(t, err)
		assert.Empty(t, told(), "--silent")
		_, words, code := lanetally(t, "notify", dir)
		require.Zero(t, code, words)
		assert.Contains(t, told(), name)
	}
}

// TestNotifyTellsAKilledNight: what the unit beside the nightly one runs.
func TestNotifyTellsAKilledNight(t *testing.T) {
	dir := copyTiny(t)
	_, words, code := lanetally(t, "notify", dir)
	require.Zero(t, code)
	assert.Contains(t, words, "names no program")
	told := teller(t, dir)
	code, words = childNight{Dir: dir, Now: faultNow, KillAtStep: "tally"}.run(t)
	require.Equal(t, -1, code, words)
	require.Empty(t, told())
	_, words, code = lanetally(t, "notify", dir)
	require.Zero(t, code, words)
	assert.Contains(t, told(), "did not end: it was killed")
}

// TestHungNotifyingProgram: it is ended after its time, and the run's report says that nobody was told.
func TestHungNotifyingProgram(t *testing.T) {
	dir := copyTiny(t)
	addText(t, filepath.Join(dir, "reference/routes.csv"), "r1,again,nowhere\n")
	addText(t, filepath.Join(dir, "district.toml"), "\n[notify]\ncommand = [\"sleep\", \"60\"]\n")
	began := time.Now()
	_, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow, notifyLimit: 200 * time.Millisecond})
	assert.Less(t, time.Since(began), 10*time.Second)
	assert.Equal(t, exitReference, ExitCode(err))
	assert.ErrorContains(t, err, "[notify] command")
	status, err := readStatus(dir, faultNow)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(status.Findings, "\n"), `[notify] command ["sleep" "60"]: context deadline exceeded`)
}

// TestStoppedNightIsTold: a run that something other than a person at a terminal stops.
func TestStoppedNightIsTold(t *testing.T) {
	r := beginResult(t, "SIGTERM of a hung night", "ended within 2 s, told to whom [notify] names and by status")
	dir := copyTiny(t)
	told := teller(t, dir)
	for signal, wanted := range map[syscall.Signal]string{syscall.SIGTERM: "stopped by signal: terminated", syscall.SIGINT: ""} {
		// Passes that come through a pipe nobody writes to: the step does not come back.
		words := new(strings.Builder)
		command := commandOf(buildProgram(t), words, "nightly", dir, "--now", faultNow.Format(time.RFC3339))
		require.NoError(t, os.RemoveAll(filepath.Join(dir, "reference/crews.csv")))
		require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "reference/crews.csv"), 0o644))
		require.NoError(t, command.Start())
		require.Eventually(t, func() bool {
			logs, err := filepath.Glob(filepath.Join(dir, "log", "*.jsonl"))
			return err == nil && len(logs) > 0
		}, 20*time.Second, 10*time.Millisecond)
		began := time.Now()
		require.NoError(t, command.Process.Signal(signal))
		_ = command.Wait()
		assert.Less(t, time.Since(began), 2*time.Second)
		assert.Equal(t, exitSignal+int(signal), command.ProcessState.ExitCode(), words)
		if wanted == "" {
			assert.Empty(t, told())
		} else {
			require.Eventually(t, func() bool { return strings.Contains(told(), wanted) }, 5*time.Second, 50*time.Millisecond)
		}
		assert.Contains(t, statusText(t, dir, 0), "run ")
		require.NoError(t, os.RemoveAll(filepath.Join(dir, "log")))
		r.count++
	}
}
