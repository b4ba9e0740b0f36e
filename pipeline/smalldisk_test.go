package pipeline

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// smallDisk is how large a disk the nights below have; the tiny district with two releases takes a fraction of it.
const smallDisk = "160m"

// smallDiskVariable tells the child where its disk is mounted, and the district to copy there.
const smallDiskVariable = "LANETALLY_TEST_SMALL_DISK"

// TestSmallDiskFillsAndIsFreed: another program fills a small disk in the middle of a night. The night ends with exit code 74 and the old
// release stands; once there is room again the next night is clean. The disk is a tmpfs of a child in a namespace of its own.
func TestSmallDiskFillsAndIsFreed(t *testing.T) {
	r := beginResult(t, "a small tmpfs that fills during a night and is freed",
		"exit 74; live release whole; the next run's exports identical")
	if output, err := exec.Command("unshare", "-Urm", "true").CombinedOutput(); err != nil {
		r.notRun(t, "unshare -Urm is not permitted here: "+strings.TrimSpace(string(output)))
	}
	c := newFaultCase(t)
	mount := t.TempDir()
	child := exec.Command("unshare", "-Urm", "sh", "-c",
		`mount -t tmpfs -o size=`+smallDisk+` tmpfs "$1" && exec "$2" -test.run='^TestNightsOnASmallDisk$' -test.v`, "sh", mount,
		os.Args[0])
	child.Env = append(os.Environ(), smallDiskVariable+"="+strings.Join([]string{mount, c.dir, c.before, c.after}, "\n"))
	output, err := child.CombinedOutput()
	require.NoError(t, err, string(output))
	r.count = strings.Count(string(output), "disk filled at: ")
	require.GreaterOrEqual(t, r.count, 2, string(output))
}

// TestNightsOnASmallDisk is no test: it is the body of the child that TestSmallDiskFillsAndIsFreed begins.
func TestNightsOnASmallDisk(t *testing.T) {
	text := strings.Split(os.Getenv(smallDiskVariable), "\n")
	if len(text) != 4 {
		t.Skip("runs only as a child of TestSmallDiskFillsAndIsFreed")
	}
	mount, c := text[0], faultCase{dir: text[1], before: text[2], after: text[3]}
	// What is left of the disk at which step. Steps that only read pass on a full disk.
	type filling struct {
		step string
		left int64
	}
	const before = "before it begins"
	cases := []filling{{before, 0}, {"load the deliveries", 0}, {"render the site", 64 << 10}}
	if isTorture {
		cases = cases[:1]
		for _, step := range nightSteps[3:] {
			for _, left := range []int64{0, 64 << 10, 1 << 20} {
				cases = append(cases, filling{step.name, left})
			}
		}
	}
	for _, f := range cases {
		when := fmt.Sprintf("disk filled at: %s, but for %d bytes", f.step, f.left)
		t.Log(when)
		dir := filepath.Join(mount, "district")
		require.NoError(t, os.CopyFS(dir, os.DirFS(c.dir)))
		filler := filepath.Join(mount, "filler")
		if f.step == before {
			fillDisk(t, filler, 0)
		}
		_, err := Nightly(t.Context(), NightlyOptions{Dir: dir, Now: faultNow.AddDate(0, 0, 1), Words: io.Discard,
			reached: func(step string) {
				if step == f.step {
					fillDisk(t, filler, f.left)
				}
			}})
		if err != nil {
			assert.Equal(t, exitFiles, ExitCode(err), "%s: %v", when, err)
			assert.Contains(t, statusText(t, dir, 0), " run ", when)
		} else {
			assert.NotZero(t, f.left, "%s: the night wrote nothing more", when)
		}
		assertWhole(t, dir, when)
		assert.Contains(t, []string{c.before, c.after}, exportsOf(t, dir), when)
		require.NoError(t, os.Remove(filler), when)
		c.afterKill(t, dir, when)
		require.NoError(t, os.RemoveAll(dir))
	}
}

// fillDisk writes a file until the disk is full but for some bytes.
func fillDisk(t *testing.T, path string, left int64) {
	t.Helper()
	file, err := os.Create(path)
	require.NoError(t, err)
	block := make([]byte, 1<<20)
	for err == nil {
		_, err = file.Write(block)
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
	info, err := file.Stat()
	require.NoError(t, err)
	require.NoError(t, file.Truncate(info.Size()-left))
	require.NoError(t, file.Close())
}
