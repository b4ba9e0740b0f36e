package pipeline

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/release"
)

// releaseOf builds and publishes a release that holds one file.
func releaseOf(t *testing.T, dir, id, content string) {
	t.Helper()
	building, err := release.BeginRelease(disk.Layer{}, dir, id)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(building, "public", "index.html"), []byte(content), 0o644))
	require.NoError(t, release.PublishRelease(disk.Layer{}, dir, building, id))
}

func TestPublishReplacesTheReleaseWhole(t *testing.T) {
	dir := t.TempDir()
	releaseOf(t, dir, "20290101", "first")
	releaseOf(t, dir, "20290102", "second")
	text, err := os.ReadFile(filepath.Join(dir, "current", "public", "index.html"))
	require.NoError(t, err)
	assert.Equal(t, "second", string(text))
	assert.NoFileExists(t, filepath.Join(dir, "current.next"))
}

func TestBeginReleaseRemovesWhatAKilledRunLeft(t *testing.T) {
	dir := t.TempDir()
	releaseOf(t, dir, "20290101", "first")
	_, err := release.BeginRelease(disk.Layer{}, dir, "20290102")
	require.NoError(t, err)
	_, err = release.BeginRelease(disk.Layer{}, dir, "20290103")
	require.NoError(t, err)
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	require.NoError(t, err)
	require.Len(t, entries, 2)
	assert.Equal(t, release.PartialPrefix+"20290103", entries[0].Name())
	assert.Equal(t, "20290101", entries[1].Name())
}

func TestPruneReleasesKeepsTheLiveOne(t *testing.T) {
	dir := t.TempDir()
	for _, id := range []string{"20290101", "20290102", "20290103", "20290104"} {
		releaseOf(t, dir, id, id)
	}
	require.NoError(t, os.Remove(filepath.Join(dir, "current")))
	require.NoError(t, os.Symlink(filepath.Join("releases", "20290101"), filepath.Join(dir, "current")))
	require.NoError(t, release.PruneReleases(disk.Layer{}, dir, 2))
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	require.NoError(t, err)
	require.Len(t, entries, 2)
	assert.Equal(t, "20290101", entries[0].Name())
	assert.Equal(t, "20290104", entries[1].Name())
}

func TestFreeReleaseIDNeverMeetsAnother(t *testing.T) {
	dir := t.TempDir()
	for _, want := range []string{"20290101T101500Z", "20290101T101500Z-2", "20290101T101500Z-3"} {
		id, err := release.FreeReleaseID(dir, "20290101T101500Z")
		require.NoError(t, err)
		assert.Equal(t, want, id)
		releaseOf(t, dir, id, "x")
	}
}
