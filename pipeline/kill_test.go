package pipeline

import (
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/release"
)

// afterKill asks that the live release is the old one or the new one, whole, and that a run on what the killed one left gives
// the exports of an undisturbed run.
func (c faultCase) afterKill(t *testing.T, dir, when string) {
	t.Helper()
	assertWhole(t, dir, when)
	assert.Contains(t, []string{c.before, c.after}, exportsOf(t, dir), when)
	mustNight(t, dir, faultNow.AddDate(0, 0, 2))
	assert.Equal(t, c.after, exportsOf(t, dir), when)
	assertWhole(t, dir, when)
	assert.Empty(t, strays(t, dir), when)
}

// strays names what no finished run leaves behind.
func strays(t *testing.T, dir string) []string {
	t.Helper()
	found := strayFiles(t, dir)
	partial, err := filepath.Glob(filepath.Join(dir, "releases", release.PartialPrefix+"*"))
	require.NoError(t, err)
	next, err := filepath.Glob(filepath.Join(dir, "current.*"))
	require.NoError(t, err)
	return append(append(found, partial...), next...)
}

// TestKilledAtEveryStep kills a night as each of its steps begins.
func TestKilledAtEveryStep(t *testing.T) {
	r := beginResult(t, "SIGKILL as a step begins", "live release whole; the next run's exports identical")
	c := newFaultCase(t)
	for _, step := range nightSteps {
		dir := copyDistrict(t, c.dir)
		code, words := childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1), KillAtStep: step.name}.run(t)
		require.Equal(t, -1, code, "%s: %s", step.name, words)
		c.afterKill(t, dir, "killed at: "+step.name)
		r.count++
	}
}

// TestKilledAtAFileOperation kills a night at operations of the file layer, spread over all of them.
func TestKilledAtAFileOperation(t *testing.T) {
	r := beginResult(t, "SIGKILL at the N-th file operation", "live release whole; the next run's exports identical")
	c := newFaultCase(t)
	total := countOperations(t, c)
	require.Greater(t, total, 100)
	kills := 5
	if isTorture {
		kills = 120
	}
	for i := range kills {
		dir := copyDistrict(t, c.dir)
		at := 1 + (total-1)*i/(kills-1)
		code, words := childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1), KillAtFile: at}.run(t)
		require.Equal(t, -1, code, "operation %d of %d: %s", at, total, words)
		c.afterKill(t, dir, "killed at a file operation")
		r.count++
	}
}

// countOperations is how many operations of the file layer an undisturbed night makes.
func countOperations(t *testing.T, c faultCase) int {
	t.Helper()
	count := 0
	options := NightlyOptions{Dir: copyDistrict(t, c.dir), Now: faultNow.AddDate(0, 0, 1), Words: io.Discard}
	options.files.Before = func(string, string) error { count++; return nil }
	_, err := Nightly(t.Context(), options)
	require.NoError(t, err)
	return count
}

// TestKilledAtRandomTimes kills a night after a random wait, so that the database's own writes are met too.
func TestKilledAtRandomTimes(t *testing.T) {
	r := beginResult(t, "SIGKILL at a random time", "live release whole; the next run's exports identical")
	c := newFaultCase(t)
	kills, random := 3, rand.New(rand.NewPCG(20290211, 7))
	if isTorture {
		kills = 80
	}
	undisturbed := copyDistrict(t, c.dir)
	began := time.Now()
	childNight{Dir: undisturbed, Now: faultNow.AddDate(0, 0, 1)}.run(t)
	whole := time.Since(began)
	for range kills {
		dir := copyDistrict(t, c.dir)
		command := childNight{Dir: dir, Now: faultNow.AddDate(0, 0, 1)}.start(t, io.Discard)
		time.Sleep(time.Duration(random.Int64N(int64(whole))))
		require.NoError(t, command.Process.Kill())
		_ = command.Wait()
		c.afterKill(t, dir, "killed at random")
		r.count++
	}
}

// TestSignalsStopWithinTwoSeconds sends SIGINT and SIGTERM to the real program in the middle of a night.
func TestSignalsStopWithinTwoSeconds(t *testing.T) {
	r := beginResult(t, "SIGINT and SIGTERM", "ended within 2 s, exit codes 130 and 143; the next run clean")
	dir := writeDemo(t)
	program := buildProgram(t)
	for _, c := range []struct {
		signal syscall.Signal
		code   int
	}{{syscall.SIGINT, 130}, {syscall.SIGTERM, 143}} {
		words := new(strings.Builder)
		command := commandOf(program, words, "nightly", dir, "--now", demoNow)
		require.NoError(t, command.Start())
		require.Eventually(t, func() bool {
			logs, err := filepath.Glob(filepath.Join(dir, "log", "*.jsonl"))
			return err == nil && len(logs) > 0
		}, 20*time.Second, 10*time.Millisecond)
		time.Sleep(300 * time.Millisecond) // into the loading or the tally
		began := time.Now()
		require.NoError(t, command.Process.Signal(c.signal))
		_ = command.Wait()
		assert.Less(t, time.Since(began), 2*time.Second, c.signal)
		assert.Equal(t, c.code, command.ProcessState.ExitCode(), "%s: %s", c.signal, words)
		assert.NoDirExists(t, filepath.Join(dir, "current"))
		assert.Contains(t, words.String(), "the last release stands")
		logs, err := filepath.Glob(filepath.Join(dir, "log", "2*"))
		require.NoError(t, err)
		for _, path := range logs {
			require.NoError(t, os.Remove(path))
		}
		r.count++
	}
	_, words, code := lanetally(t, "nightly", dir, "--now", demoNow)
	require.Zero(t, code, words)
}
