package pipeline

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// release builds and publishes a release that holds one file.
func release(t *testing.T, dir, id, content string) {
	t.Helper()
	building, err := fileLayer{}.beginRelease(dir, id)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(building, "public", "index.html"), []byte(content), 0o644))
	require.NoError(t, fileLayer{}.publishRelease(dir, building, id))
}

func TestPublishReplacesTheReleaseWhole(t *testing.T) {
	dir := t.TempDir()
	release(t, dir, "20290101", "first")
	release(t, dir, "20290102", "second")
	text, err := os.ReadFile(filepath.Join(dir, "current", "public", "index.html"))
	require.NoError(t, err)
	assert.Equal(t, "second", string(text))
	assert.NoFileExists(t, filepath.Join(dir, "current.next"))
}

func TestBeginReleaseRemovesWhatAKilledRunLeft(t *testing.T) {
	dir := t.TempDir()
	release(t, dir, "20290101", "first")
	_, err := fileLayer{}.beginRelease(dir, "20290102")
	require.NoError(t, err)
	_, err = fileLayer{}.beginRelease(dir, "20290103")
	require.NoError(t, err)
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	require.NoError(t, err)
	require.Len(t, entries, 2)
	assert.Equal(t, partialPrefix+"20290103", entries[0].Name())
	assert.Equal(t, "20290101", entries[1].Name())
}

func TestPruneReleasesKeepsTheLiveOne(t *testing.T) {
	dir := t.TempDir()
	for _, id := range []string{"20290101", "20290102", "20290103", "20290104"} {
		release(t, dir, id, id)
	}
	require.NoError(t, os.Remove(filepath.Join(dir, "current")))
	require.NoError(t, os.Symlink(filepath.Join("releases", "20290101"), filepath.Join(dir, "current")))
	require.NoError(t, fileLayer{}.pruneReleases(dir, 2))
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	require.NoError(t, err)
	require.Len(t, entries, 2)
	assert.Equal(t, "20290101", entries[0].Name())
	assert.Equal(t, "20290104", entries[1].Name())
}

func TestFreeReleaseIDNeverMeetsAnother(t *testing.T) {
	dir := t.TempDir()
	for _, want := range []string{"20290101T101500Z", "20290101T101500Z-2", "20290101T101500Z-3"} {
		id, err := freeReleaseID(dir, "20290101T101500Z")
		require.NoError(t, err)
		assert.Equal(t, want, id)
		release(t, dir, id, "x")
	}
}
