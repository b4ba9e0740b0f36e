package scenario_test

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/scenario"
)

// hashes gives one line a file: path and content hash.
func hashes(t *testing.T, dir string) []string {
	t.Helper()
	var lines []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		body, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		inside, err := filepath.Rel(dir, path)
		lines = append(lines, fmt.Sprintf("%s %x", inside, sha256.Sum256(body)))
		return err
	}))
	sort.Strings(lines)
	return lines
}

func TestSameSeedGivesTheSameBytes(t *testing.T) {
	first, second, other := t.TempDir(), t.TempDir(), t.TempDir()
	_, err := scenario.Write(first, scenario.Options{Seed: 7})
	require.NoError(t, err)
	_, err = scenario.Write(second, scenario.Options{Seed: 7})
	require.NoError(t, err)
	_, err = scenario.Write(other, scenario.Options{Seed: 8})
	require.NoError(t, err)
	require.Greater(t, len(hashes(t, first)), 80)
	assert.Equal(t, hashes(t, first), hashes(t, second))
	assert.NotEqual(t, hashes(t, first), hashes(t, other))
}

func TestNoFolderIsOverwritten(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("keep"), 0o644))
	_, err := scenario.Write(dir, scenario.Options{})
	require.ErrorContains(t, err, "is not empty; name a folder that is new or empty")
	left := hashes(t, dir)
	require.Len(t, left, 1)
	assert.True(t, strings.HasPrefix(left[0], "mine.txt "))
}
