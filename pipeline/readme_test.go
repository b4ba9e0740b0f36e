package pipeline

import (
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

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

// TestFirstOwnNight runs the README's ten steps as they stand, in an empty folder: its files and its lines for the shell. By hand: each
// pass covers its whole route; R1 is 12.5 miles, one lane a pass: 4,500 + 4,000 lb over 2 x 12.5 lane-miles is 340; R2 is 7.5 miles, two
// lanes a pass: 3,750 lb over 15 lane-miles is 250.
func TestFirstOwnNight(t *testing.T) {
	_, steps, found := strings.Cut(readReadme(t), "\n## The first own night\n")
	require.True(t, found)
	steps, _, _ = strings.Cut(steps, "\n## ")
	for number := range 10 {
		assert.Contains(t, steps, fmt.Sprintf("\n%d. ", number+1))
	}
	program := must(filepath.Abs(buildProgram(t)))
	t.Chdir(t.TempDir())
	t.Setenv("PATH", filepath.Dir(program)+string(os.PathListSeparator)+os.Getenv("PATH"))
	said := ""
	for _, block := range regexp.MustCompile("(?s)\n( *)```(sh|csv)(.*?)\n(.*?)```").FindAllStringSubmatch(steps, -1) {
		text := strings.ReplaceAll("\n"+block[4], "\n"+block[1], "\n")[1:]
		if block[2] == "csv" {
			require.NoError(t, os.WriteFile(strings.TrimSpace(block[3]), []byte(text), 0o644))
			continue
		}
		out, err := exec.Command("sh", "-c", text).CombinedOutput()
		said += string(out)
		var exit *exec.ExitError
		require.True(t, err == nil || errors.As(err, &exit) && exit.ExitCode() == exitFound, "%s\n%s", text, out)
	}
	assert.Contains(t, said, filepath.Join("winter", "current", "public", "index.html"))
	rates := map[string]string{}
	published, err := readPublished("winter", "storm_routes")
	require.NoError(t, err, said)
	for _, row := range published {
		rates[row["route_id"]+" "+row["material_class"]] = row["rate_lb_per_lane_mi"]
	}
	assert.Equal(t, map[string]string{"R1 acetate": "340", "R2 chloride": "250"}, rates, said)
	storms, err := readPublished("winter", "storms")
	require.NoError(t, err)
	page, err := os.ReadFile(filepath.Join("winter", "current", "public", "storms", storms[0]["storm_id"]+".html"))
	require.NoError(t, err)
	assert.Regexp(t, `>340<`, string(page))
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

// TestReadmeIsShort: a newcomer reads the paper in a quarter of an hour.
func TestReadmeIsShort(t *testing.T) {
	assert.Less(t, len(strings.Fields(readReadme(t))), 2500)
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
