package pipeline

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/scenario"
)

// demoNow is an instant shortly after the demo's last delivery.
const demoNow = "2029-03-06T09:15:00Z"

// demoFolder is where the tests' demo districts lie: written once, since each of them takes seconds. It is made by the first test that
// asks:
// the children that tests begin and kill would leave one behind.
var demoFolder string

func TestMain(m *testing.M) {
	code := m.Run()
	if err := errors.Join(os.RemoveAll(demoFolder), os.RemoveAll(programFolder)); err != nil {
		panic(err)
	}
	os.Exit(code)
}

// demoNight is one night over the demo district, and the truth behind it. Tests that change anything take a copy.
type demoNight struct {
	dir   string
	truth scenario.Truth
}

// writtenDemo is the demo district before its first night.
var writtenDemo = sync.OnceValues(func() (written demoNight, err error) {
	if demoFolder, err = os.MkdirTemp("", "lanetally-demo-"); err != nil {
		return demoNight{}, err
	}
	dir := filepath.Join(demoFolder, "written")
	truth, err := scenario.Write(dir, scenario.Options{Seed: scenario.DefaultSeed})
	return demoNight{dir, truth}, err
})

// ranDemo is the demo district after one night.
var ranDemo = sync.OnceValues(func() (demoNight, error) {
	written, err := writtenDemo()
	if err != nil {
		return demoNight{}, err
	}
	now, err := time.Parse(time.RFC3339, demoNow)
	if err != nil {
		return demoNight{}, err
	}
	dir := filepath.Join(demoFolder, "ran")
	err = os.CopyFS(dir, os.DirFS(written.dir))
	_, nightErr := Nightly(context.Background(), NightlyOptions{Dir: dir, Now: now, Words: io.Discard})
	return demoNight{dir, written.truth}, errors.Join(err, nightErr)
})

// writeDemo gives a demo district of the test's own, before its first night.
func writeDemo(t *testing.T) string {
	t.Helper()
	demo, err := writtenDemo()
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "demo")
	require.NoError(t, os.CopyFS(dir, os.DirFS(demo.dir)))
	return dir
}

// runDemoNight gives the demo district after one night, to be read only.
func runDemoNight(t *testing.T) demoNight {
	t.Helper()
	demo, err := ranDemo()
	require.NoError(t, err)
	return demo
}

// copyDemoNight gives a demo district of the test's own, after one night.
func copyDemoNight(t *testing.T) demoNight {
	t.Helper()
	demo := runDemoNight(t)
	dir := filepath.Join(t.TempDir(), "demo")
	require.NoError(t, os.CopyFS(dir, os.DirFS(demo.dir)))
	return demoNight{dir, demo.truth}
}

// ledger opens a copy of the night's ledger until the test ends.
func (d demoNight) ledger(t *testing.T) *ledger.Ledger {
	t.Helper()
	path := filepath.Join(t.TempDir(), "ledger.duckdb")
	content, err := os.ReadFile(filepath.Join(d.dir, "ledger.duckdb"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, content, 0o600))
	l, err := ledger.Open(t.Context(), path)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, l.Close()) })
	return l
}
