package pipeline

import (
	"flag"
	"fmt"
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
)

// update rewrites the files that tests compare with.
var update = flag.Bool("update", false, "rewrite the files that tests compare with")

func readReadme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repoRoot, "README.md"))
	require.NoError(t, err)
	return string(text)
}

// TestReadmeTables: the column tables of schemas/README.md are those of the contracts.
func TestReadmeTables(t *testing.T) {
	paper := filepath.Join(repoRoot, "schemas", "README.md")
	text, err := os.ReadFile(paper)
	require.NoError(t, err)
	written := string(text)
	for _, kind := range []struct{ name, folder, tables string }{
		{"feed", "feeds", FeedTables()}, {"reference", "reference", ReferenceTables()}, {"export", "exports", ExportTables()},
	} {
		begin := fmt.Sprintf("<!-- %s tables: written from schemas/%s by `go test ./pipeline -run TestReadmeTables -update` -->\n",
			kind.name, kind.folder)
		end := fmt.Sprintf("<!-- end of %s tables -->", kind.name)
		before, rest, found := strings.Cut(written, begin)
		require.True(t, found, kind.name)
		tables, after, found := strings.Cut(rest, end)
		require.True(t, found, kind.name)
		if !*update {
			assert.Equal(t, kind.tables, tables, kind.name)
		}
		written = before + begin + kind.tables + end + after
	}
	if *update {
		require.NoError(t, os.WriteFile(paper, []byte(written), 0o644))
	}
}

// TestReadmeCommands runs the README's lanetally lines in an empty folder, all but view, which would serve until stopped.
func TestReadmeCommands(t *testing.T) {
	lines := regexp.MustCompile(`(?m)^lanetally .*$`).FindAllString(readReadme(t), -1)
	require.GreaterOrEqual(t, len(lines), 5)
	t.Chdir(t.TempDir())
	for _, line := range lines {
		args := strings.Fields(line)[1:]
		if args[0] == "view" {
			parser, err := kong.New(new(commands))
			require.NoError(t, err)
			_, err = parser.Parse(args)
			require.NoError(t, err)
			continue
		}
		_, words, code := lanetally(t, args...)
		// An empty district is no fault; status says that no data have come.
		assert.Contains(t, []int{exitDone, exitFound}, code, "%s: %s", line, words)
	}
}

// TestReadmeMapping: the worked column mapping of the README reads the worked export of the README.
func TestReadmeMapping(t *testing.T) {
	readme := readReadme(t)
	export := regexp.MustCompile("(?s)```csv\n(.*?)```").FindStringSubmatch(readme)
	mapping := regexp.MustCompile("(?s)```toml\n(.*?)```").FindStringSubmatch(readme)
	require.NotNil(t, export)
	require.NotNil(t, mapping)
	path := filepath.Join(t.TempDir(), "district.toml")
	require.NoError(t, os.WriteFile(path, []byte("name = \"x\"\ntime_zone = \"America/Chicago\"\n"+mapping[1]), 0o644))
	settings, err := district.ReadSettings(path)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(export[1]), "\n")
	require.Len(t, lines, 2)
	promised, err := contract.LoadContract("feeds", "passes")
	require.NoError(t, err)
	parser, fault := contract.NewRowParser(promised, settings.Feeds["passes"], settings.Location, strings.Split(lines[0], ","))
	require.Nil(t, fault)
	values, fault := parser.Parse(strings.Split(lines[1], ","))
	require.Nil(t, fault)
	// 1210 kg / 0.45359237 kg per pound (exact, NIST SP 811) = 2667.593372 lb
	assert.InDelta(t, 2667.593372, values[promised.Index("dispensed_lb")].Number, 1e-6)
	assert.Equal(t, "nacl", values[promised.Index("material_id")].Text)
	assert.Equal(t, "88121", values[promised.Index("pass_id")].Text)
}

// TestMakefileTargets: every make target that the papers name exists.
func TestMakefileTargets(t *testing.T) {
	makefile, err := os.ReadFile(filepath.Join(repoRoot, "Makefile"))
	require.NoError(t, err)
	named := 0
	for _, paper := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile(filepath.Join(repoRoot, paper))
		require.NoError(t, err)
		for _, target := range regexp.MustCompile("(?m)(?:^|`)make ([a-z]+)").FindAllStringSubmatch(string(text), -1) {
			named++
			assert.Regexp(t, "(?m)^"+target[1]+":", string(makefile), "%s names make %s", paper, target[1])
		}
	}
	assert.GreaterOrEqual(t, named, 4)
}

// TestPromises: every test that a promise of DEVELOPERS.md names exists.
func TestPromises(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(repoRoot, "DEVELOPERS.md"))
	require.NoError(t, err)
	_, section, found := strings.Cut(string(text), "\n## Promises\n")
	require.True(t, found)
	tests := map[string]bool{}
	for _, source := range goFiles(t, token.NewFileSet()) {
		if isTestFile(source.path) {
			for _, declaration := range source.file.Decls {
				if function, ok := declaration.(*ast.FuncDecl); ok {
					tests[function.Name.Name] = true
				}
			}
		}
	}
	rows := regexp.MustCompile(`(?m)^\| [A-Z].*\|$`).FindAllString(section, -1)
	require.GreaterOrEqual(t, len(rows), 15)
	for _, row := range rows {
		named := regexp.MustCompile("`(Test\\w+)`").FindAllStringSubmatch(row, -1)
		assert.NotEmpty(t, named, row)
		for _, name := range named {
			assert.True(t, tests[name[1]], "%s has no test %s", row, name[1])
		}
	}
}

// TestDevelopersIsShort: the paper for developers is read in one sitting; tables are for looking up and do not count.
func TestDevelopersIsShort(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(repoRoot, "DEVELOPERS.md"))
	require.NoError(t, err)
	prose := regexp.MustCompile(`(?m)^\|.*$`).ReplaceAllString(string(text), "")
	assert.Less(t, len(strings.Fields(prose)), 1200)
}

// TestReadmeLinks: every file that the papers link to is there.
func TestReadmeLinks(t *testing.T) {
	links := 0
	for _, paper := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile(filepath.Join(repoRoot, paper))
		require.NoError(t, err)
		for _, link := range regexp.MustCompile(`\]\(([^)#:]+)[^):]*\)`).FindAllStringSubmatch(string(text), -1) {
			links++
			assert.FileExists(t, filepath.Join(repoRoot, link[1]), paper)
		}
	}
	assert.GreaterOrEqual(t, links, 3)
}
