package intake

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/delivery"
)

func TestFilesAreInspectedInOrderAndNoFurtherThanAsked(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "inbox", "passes"), 0o755))
	for i := range 5 {
		name := filepath.Join(dir, "inbox", "passes", fmt.Sprintf("%d.csv", i))
		require.NoError(t, os.WriteFile(name, fmt.Appendf(nil, "pass_id\n%d\n", i), 0o644))
	}
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	defer root.Close()
	files, _, err := ScanInbox(root)
	require.NoError(t, err)
	require.Len(t, files, 5)
	ahead := InspectAhead(&FileStamps{Root: root}, files)
	for _, file := range files[:3] {
		want, err := delivery.Inspect(root, file.Path)
		require.NoError(t, err)
		require.Equal(t, inspection{Content: want}, ahead.Next(), file.Path)
	}
	ahead.End() // though two more files wait
}
