package pipeline

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/delivery"
)

func TestFilesAreInspectedInOrderAndNoFurtherThanAsked(t *testing.T) {
	d := newDistrict(t)
	for i := range 5 {
		d.deliver(fmt.Sprintf("passes/%d.csv", i), fmt.Sprintf("pass_id\n%d\n", i))
	}
	root, err := os.OpenRoot(d.dir)
	require.NoError(t, err)
	defer root.Close()
	n := &loading{dir: d.dir, root: root}
	files, _, err := scanInbox(n.root)
	require.NoError(t, err)
	require.Len(t, files, 5)
	ahead := n.inspectAhead(files)
	for _, file := range files[:3] {
		want, err := delivery.Inspect(n.root, file.path)
		require.NoError(t, err)
		require.Equal(t, inspection{content: want}, ahead.next(), file.path)
	}
	ahead.end() // though two more files wait
}
