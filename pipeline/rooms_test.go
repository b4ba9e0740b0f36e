package pipeline

import (
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a room may hold, so that it can be read in one go.
const (
	maxRoomFiles = 25
	maxRoomLines = 4000
)

// room is a row of the table of rooms in DEVELOPERS.md: a folder and the rooms that it imports.
type room struct {
	folder  string
	imports []string
}

var quotedName = regexp.MustCompile("`([^`]+)`")

// roomsOf reads the table of rooms: columns room, what is in it, imports.
func roomsOf(t *testing.T) []room {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repoRoot, "DEVELOPERS.md"))
	require.NoError(t, err)
	_, table, found := strings.Cut(string(text), "| room | what is in it | imports |\n|---|---|---|\n")
	require.True(t, found, "DEVELOPERS.md has the table of rooms")
	table, _, _ = strings.Cut(table, "\n\n")
	var rooms []room
	for _, line := range strings.Split(strings.TrimSpace(table), "\n") {
		cells := strings.Split(strings.Trim(line, "|"), "|")
		require.Len(t, cells, 3, line)
		names := quotedName.FindStringSubmatch(cells[0])
		require.NotNil(t, names, line)
		r := room{folder: strings.TrimSuffix(names[1], "/")}
		for _, name := range quotedName.FindAllStringSubmatch(cells[2], -1) {
			r.imports = append(r.imports, name[1])
		}
		rooms = append(rooms, r)
	}
	return rooms
}

// TestRoomsImportWhatTheTableSays: each room imports exactly the rooms that its row names, and only rooms of later rows, so that what lies
// deeper never imports what lies higher.
func TestRoomsImportWhatTheTableSays(t *testing.T) {
	found := map[string][]string{}
	for _, source := range goFiles(t, token.NewFileSet()) {
		folder := path.Dir(source.path)
		if isTestFile(source.path) || strings.HasPrefix(folder, "testdata") {
			continue
		}
		if found[folder] == nil {
			found[folder] = []string{}
		}
		for _, spec := range source.file.Imports {
			name, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			if name, ours := strings.CutPrefix(name, "lanetally/"); ours && !slices.Contains(found[folder], name) {
				found[folder] = append(found[folder], name)
			}
		}
	}
	rooms := roomsOf(t)
	order := map[string]int{}
	for i, r := range rooms {
		order[r.folder] = i
	}
	for i, r := range rooms {
		imports, isThere := found[r.folder]
		assert.True(t, isThere, "%s is in the table and not in the tree", r.folder)
		assert.ElementsMatch(t, r.imports, imports, "imports of %s", r.folder)
		for _, name := range imports {
			assert.Greater(t, order[name], i, "%s imports %s, which stands above it", r.folder, name)
		}
		delete(found, r.folder)
	}
	assert.Empty(t, found, "rooms that the table lacks")
}

// TestSiteKnowsOnlyRows: of the pipeline the site sees the row types and verdict words alone.
func TestSiteKnowsOnlyRows(t *testing.T) {
	for _, r := range roomsOf(t) {
		for _, name := range r.imports {
			if strings.HasPrefix(r.folder, "site") && strings.HasPrefix(name, "pipeline") {
				assert.Equal(t, "pipeline/rows", name, r.folder)
			}
		}
	}
}

func TestRoomsStaySmall(t *testing.T) {
	set := token.NewFileSet()
	files, lines := map[string]int{}, map[string]int{}
	for _, source := range goFiles(t, set) {
		if folder := path.Dir(source.path); !isTestFile(source.path) {
			files[folder]++
			lines[folder] += set.Position(source.file.FileEnd).Line
		}
	}
	require.Greater(t, len(files), 20)
	for folder := range files {
		assert.LessOrEqual(t, files[folder], maxRoomFiles, "files of %s", folder)
		assert.LessOrEqual(t, lines[folder], maxRoomLines, "lines of %s", folder)
	}
}
