package intake

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
)

// What a night will read of positions: a new file; a rested one not again, unless its content must be read anew.
func TestSizeToRead(t *testing.T) {
	dir := t.TempDir()
	text := "vehicle_id,at,lon,lat\n"
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "inbox", contract.CrumbsFeed), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "inbox", contract.CrumbsFeed, "night.csv"), []byte(text), 0o644))
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	defer root.Close()
	files, _, err := ScanInbox(root)
	require.NoError(t, err)
	require.Len(t, files, 1)
	isLoaded := false
	size := func(s *FileStamps) int64 { return s.sizeToRead(files[0], func(ContentKey) bool { return isLoaded }) }

	rested := &FileStamps{Root: root, byFile: map[FileKey]fileStamp{}, begunAt: time.Now().Add(StampRest + time.Second)}
	assert.EqualValues(t, len(text), size(rested), "never read")
	_, err = rested.inspect(files[0])
	require.NoError(t, err)
	assert.EqualValues(t, len(text), size(rested), "read, and not in the ledger as it would be read now")
	isLoaded = true
	assert.Zero(t, size(rested))
	fresh := &FileStamps{Root: root, byFile: rested.byFile, begunAt: time.Now()}
	assert.EqualValues(t, len(text), size(fresh), "it may change within the clock's grain")
}
