package pipeline

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// programFolder is where the program lies that tests run; TestMain deletes it.
var programFolder string

// builtProgram is the real program, built once.
var builtProgram = sync.OnceValues(func() (path string, err error) {
	if programFolder, err = os.MkdirTemp("", "lanetally-program-"); err != nil {
		return "", err
	}
	path = filepath.Join(programFolder, "lanetally")
	return path, goCommand(repoRoot, "build", "-o", path, "./pipeline/lanetally")
})

// buildProgram gives the real program.
func buildProgram(t *testing.T) string {
	t.Helper()
	path, err := builtProgram()
	require.NoError(t, err)
	return path
}

// goCommand runs the go command in a folder with the Makefile's flags.
func goCommand(folder string, args ...string) error {
	command := exec.Command("go", args...)
	command.Dir = folder
	command.Env = append(os.Environ(), "GOFLAGS=-tags=duckdb_arrow -buildvcs=false -trimpath")
	words := new(bytes.Buffer)
	command.Stdout, command.Stderr = words, words
	if err := command.Run(); err != nil {
		return fmt.Errorf("go %s: %w: %s", args[0], err, words)
	}
	return nil
}

// copySource copies what a build and vet read into a folder of the test's own, all but files below the paths left out.
func copySource(t *testing.T, without ...string) string {
	t.Helper()
	to := t.TempDir()
	for _, part := range []string{"go.mod", "go.sum", "pipeline", "queries", "schemas", "site"} {
		require.NoError(t, filepath.WalkDir(filepath.Join(repoRoot, part), func(path string, entry fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			relative, err := filepath.Rel(repoRoot, path)
			if err != nil {
				return err
			}
			if entry.IsDir() {
				if entry.Name() == "node_modules" || slices.Contains(without, filepath.ToSlash(relative)) {
					return filepath.SkipDir
				}
				return os.MkdirAll(filepath.Join(to, relative), 0o755)
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(to, relative), text, 0o644)
		}))
	}
	return to
}

// TestBuildDoesNotDependOnTheFolder: the same source in another folder gives the same bytes.
func TestBuildDoesNotDependOnTheFolder(t *testing.T) {
	here, err := os.ReadFile(buildProgram(t))
	require.NoError(t, err)
	folder := copySource(t)
	require.NoError(t, goCommand(folder, "build", "-o", "lanetally", "./pipeline/lanetally"))
	there, err := os.ReadFile(filepath.Join(folder, "lanetally"))
	require.NoError(t, err)
	assert.True(t, bytes.Equal(here, there), "%d and %d bytes", len(here), len(there))
}

// TestFreshCloneCompiles: without what make setup fetches, all packages build and stand up to vet, and a night of that program publishes
// pages that read back whole, says once what is missing, and has a sentence in place of a chart.
func TestFreshCloneCompiles(t *testing.T) {
	folder := copySource(t, "site/assets/vendor")
	require.NoError(t, os.Mkdir(filepath.Join(folder, "bin"), 0o755))
	require.NoError(t, goCommand(folder, "build", "-o", "bin/", "./..."))
	require.NoError(t, goCommand(folder, "vet", "./..."))
	dir := copyTiny(t)
	words := new(strings.Builder)
	require.NoError(t, commandOf(filepath.Join(folder, "bin", "lanetally"), words, "nightly", dir).Run(), words)
	assert.Equal(t, 1, strings.Count(words.String(), "without the chart script"), words)
	pages, err := filepath.Glob(filepath.Join(dir, "current", "public", "*.html"))
	require.NoError(t, err)
	said := 0
	for _, page := range pages {
		text, err := os.ReadFile(page)
		require.NoError(t, err)
		said += strings.Count(string(text), "No chart here: ")
		assert.NotContains(t, string(text), "echarts", page)
	}
	assert.Positive(t, said)
}

// commandOf prepares the program with its words caught.
func commandOf(program string, words io.Writer, args ...string) *exec.Cmd {
	command := exec.Command(program, args...)
	command.Stderr = words
	return command
}
