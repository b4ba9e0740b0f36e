package pipeline

import (
	"io"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// buildProgram builds the real program.
func buildProgram(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "lanetally")
	output, err := exec.Command("go", "build", "-o", path, "./lanetally").CombinedOutput()
	require.NoError(t, err, string(output))
	return path
}

// commandOf prepares the program with its words caught.
func commandOf(program string, words io.Writer, args ...string) *exec.Cmd {
	command := exec.Command(program, args...)
	command.Stderr = words
	return command
}
