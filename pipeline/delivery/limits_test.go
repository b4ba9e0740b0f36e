package delivery

import (
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const limitsVariable = "LANETALLY_TEST_LIMITS"

// Each hostile file is read by a process of its own, which may take 2 s and 256 MB at most, whatever the file would expand to.
func TestTimeAndMemoryOfHostileFiles(t *testing.T) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil || !bytes.Contains(status, []byte("VmHWM:")) {
		t.Skip("this system does not tell the peak memory of a process")
	}
	root := folder(t, map[string]string{
		"line.csv":   "a,b\n" + strings.Repeat("x", 64<<20) + "\n1,2\n",
		"commas.csv": "a,b\n" + strings.Repeat(",", 10_000_000) + "\n1,2\n",
	})
	writeBomb(t, filepath.Join(root.Name(), "bomb.csv.gz"), 1<<30)
	for name, reason := range map[string]string{"line.csv": "", "commas.csv": "", "bomb.csv.gz": "expands too far"} {
		child := exec.Command(os.Args[0], "-test.run=^TestReadForLimits$")
		child.Env = append(os.Environ(), limitsVariable+"="+root.Name()+"\n"+name)
		output, err := child.Output()
		require.NoError(t, err, string(output))
		found, numbers, isCut := strings.Cut(strings.SplitN(string(output), "\n", 2)[0], "|")
		require.True(t, isCut, string(output))
		processor, peak, _ := strings.Cut(numbers, "|")
		assert.Equal(t, reason, found, name)
		millis, err := strconv.Atoi(processor)
		require.NoError(t, err)
		assert.Less(t, millis, 2000, "%s: milliseconds of processor time", name)
		kilobytes, err := strconv.Atoi(peak)
		require.NoError(t, err)
		assert.Less(t, kilobytes, 256<<10, "%s: peak memory in kB", name)
		assert.Greater(t, kilobytes, 1<<10, name)
	}
}

// writeBomb writes a gzip file that expands to so many zeros.
func writeBomb(t *testing.T, path string, expanded int64) {
	t.Helper()
	file, err := os.Create(path)
	require.NoError(t, err)
	w, err := gzip.NewWriterLevel(file, gzip.BestSpeed)
	require.NoError(t, err)
	_, err = w.Write([]byte("a,b\n"))
	require.NoError(t, err)
	block := make([]byte, 1<<20)
	for i := range block {
		block[i] = '0'
	}
	for written := int64(0); written < expanded; written += int64(len(block)) {
		_, err := w.Write(block)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	require.NoError(t, file.Close())
}

// TestReadForLimits is no test: it is the body of the child, which prints reason, milliseconds of processor time and peak kilobytes.
func TestReadForLimits(t *testing.T) {
	dir, name, isChild := strings.Cut(os.Getenv(limitsVariable), "\n")
	if !isChild {
		t.Skip("runs only as a child of TestTimeAndMemoryOfHostileFiles")
	}
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	before := processorTime(t)
	reason := reasonOf(t, root, name)
	spent := processorTime(t) - before
	status, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	_, rest, found := strings.Cut(string(status), "VmHWM:")
	require.True(t, found)
	peak := strings.Fields(rest)[0]
	_, err = io.WriteString(os.Stdout, reason+"|"+strconv.FormatInt(spent.Milliseconds(), 10)+"|"+peak+"\n")
	require.NoError(t, err)
}

// processorTime is what this process has used so far; a busy machine does not lengthen it as it does the time of the day.
func processorTime(t *testing.T) time.Duration {
	t.Helper()
	var usage syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &usage))
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}
