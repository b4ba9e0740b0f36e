package pipeline

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The house rules that a machine can check. Limits and reasons stand in DEVELOPERS.md.
const (
	maxFunctionLines = 70
	maxGoFileLines   = 400
	maxQueryLines    = 120
	maxGoColumns     = 140 // a tab takes four
	maxSQLColumns    = 100
)

// repoRoot is the folder of go.mod.
const repoRoot = ".."

// sourceFile is a parsed Go file of the project.
type sourceFile struct {
	path string // from the root
	file *ast.File
}

// goFiles parses every Go file of the project.
func goFiles(t *testing.T, set *token.FileSet) []sourceFile {
	t.Helper()
	var files []sourceFile
	err := filepath.WalkDir(repoRoot, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && slices.Contains([]string{"node_modules", ".git", "build"}, entry.Name()) {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".go") {
			file, err := parser.ParseFile(set, path, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			relative, err := filepath.Rel(repoRoot, path)
			files = append(files, sourceFile{filepath.ToSlash(relative), file})
			return err
		}
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, len(files), 20)
	return files
}

func isTestFile(path string) bool { return strings.HasSuffix(path, "_test.go") }

func TestHouseFunctionsAndFilesStayShort(t *testing.T) {
	set := token.NewFileSet()
	for _, source := range goFiles(t, set) {
		if isTestFile(source.path) {
			continue
		}
		lines := set.Position(source.file.End()).Line
		assert.LessOrEqual(t, lines, maxGoFileLines, "%s has %d lines", source.path, lines)
		for _, declaration := range source.file.Decls {
			function, ok := declaration.(*ast.FuncDecl)
			if !ok {
				continue
			}
			length := set.Position(function.End()).Line - set.Position(function.Pos()).Line + 1
			assert.LessOrEqual(t, length, maxFunctionLines, "%s: %s has %d lines", source.path, function.Name.Name, length)
		}
	}
}

func TestHouseExportedNamesAreDocumented(t *testing.T) {
	for _, source := range goFiles(t, token.NewFileSet()) {
		if isTestFile(source.path) {
			continue
		}
		for _, declaration := range source.file.Decls {
			switch d := declaration.(type) {
			case *ast.FuncDecl:
				if d.Name.IsExported() {
					assert.NotNil(t, d.Doc, "%s: %s has no comment", source.path, d.Name.Name)
				}
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					if typed, ok := spec.(*ast.TypeSpec); ok && typed.Name.IsExported() {
						assert.True(t, d.Doc != nil || typed.Doc != nil || typed.Comment != nil, "%s: %s has no comment", source.path,
							typed.Name.Name)
					}
				}
			}
		}
	}
}

// TestHouseOneDoor: some packages have one importer, so that what they can do is decided in one place.
func TestHouseOneDoor(t *testing.T) {
	doors := map[string]string{
		"github.com/duckdb/duckdb-go": "pipeline/ledger",
		"github.com/go-echarts/":      "site/draw",
	}
	seen := map[string]bool{}
	for _, source := range goFiles(t, token.NewFileSet()) {
		for _, spec := range source.file.Imports {
			path, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			for prefix, door := range doors {
				if strings.HasPrefix(path, prefix) {
					seen[prefix] = true
					assert.Equal(t, door, filepath.ToSlash(filepath.Dir(source.path)), "%s imports %s", source.path, path)
				}
			}
		}
	}
	assert.Len(t, seen, len(doors))
}

// TestHouseClock: only the command line looks at the clock, and only main ends the process.
func TestHouseClock(t *testing.T) {
	looks := 0
	for _, source := range goFiles(t, token.NewFileSet()) {
		if isTestFile(source.path) {
			continue
		}
		ast.Inspect(source.file, func(node ast.Node) bool {
			selector, ok := node.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			from, ok := selector.X.(*ast.Ident)
			if !ok {
				return true
			}
			switch from.Name + "." + selector.Sel.Name {
			case "time.Now":
				looks++
				assert.Equal(t, "pipeline/cli.go", source.path)
			case "os.Exit":
				assert.Equal(t, "pipeline/lanetally/main.go", source.path)
			case "log.Fatal", "log.Fatalf", "log.Fatalln":
				assert.Fail(t, "log.Fatal", source.path)
			}
			return true
		})
	}
	assert.Equal(t, 1, looks)
}

func TestHouseTopLevel(t *testing.T) {
	entries, err := os.ReadDir(repoRoot)
	require.NoError(t, err)
	var names []string
	for _, entry := range entries {
		if !strings.HasPrefix(entry.Name(), ".") && entry.Name() != "build" {
			names = append(names, entry.Name())
		}
	}
	assert.Equal(t, []string{"DEVELOPERS.md", "LICENSE", "Makefile", "README.md", "go.mod", "go.sum", "pipeline", "queries", "schemas",
		"site", "testdata"}, names)
}

func TestHousePackageNamesSayWhatTheyHold(t *testing.T) {
	for _, source := range goFiles(t, token.NewFileSet()) {
		for _, folder := range strings.Split(filepath.Dir(source.path), "/") {
			assert.NotContains(t, []string{"internal", "util", "utils", "helpers", "common"}, folder, source.path)
		}
	}
}

// queryHeader is what every query says of itself before its statement.
var queryHeader = regexp.MustCompile(`^-- ([a-z_]+): .+\n(?:-- +.*\n)*?-- grain: +\S.*\n(?:-- .*\n)*?-- reads: +\S.*\n(?:-- .*\n)*?-- ` +
	`units: +\S.*\n(?:-- .*\n)*?-- empty: +\S.*\n(?:-- .*\n)*?-- formula: +\S`)

func TestHouseQueries(t *testing.T) {
	for _, name := range queryNames(t) {
		text, err := os.ReadFile(filepath.Join(repoRoot, "queries", name))
		require.NoError(t, err)
		assert.LessOrEqual(t, strings.Count(string(text), "\n"), maxQueryLines, name)
		table := strings.TrimSuffix(name[strings.Index(name, "_")+1:], ".sql")
		header := queryHeader.FindStringSubmatch(string(text))
		if assert.NotNil(t, header, "%s: header", name) {
			assert.Equal(t, table, header[1], name)
		}
		assert.Len(t, regexp.MustCompile(`create or replace (table|view) `+table+` as\n`).FindAllString(string(text), -1), 1,
			"%s: one statement, of the file's name", name)
		assert.NotContains(t, string(text), "\t", name)
	}
}

// TestHouseLinesStayNarrow: a limit of lines that is met by width is none.
func TestHouseLinesStayNarrow(t *testing.T) {
	limits, files := map[string]int{".go": maxGoColumns, ".sql": maxSQLColumns}, map[string]int{}
	err := filepath.WalkDir(repoRoot, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && slices.Contains([]string{"node_modules", ".git", "build"}, entry.Name()) {
			return filepath.SkipDir
		}
		limit, isLimited := limits[filepath.Ext(path)]
		if !isLimited {
			return nil
		}
		files[filepath.Ext(path)]++
		text, err := os.ReadFile(path)
		for i, line := range strings.Split(string(text), "\n") {
			columns := utf8.RuneCountInString(strings.ReplaceAll(line, "\t", "    "))
			assert.LessOrEqual(t, columns, limit, "%s:%d has %d columns", path, i+1, columns)
		}
		return err
	})
	require.NoError(t, err)
	require.Greater(t, files[".go"], 20)
	require.Greater(t, files[".sql"], 100)
}

// TestHouseWords: source and papers speak of the project alone.
func TestHouseWords(t *testing.T) {
	machinePath := regexp.MustCompile(`(^|[^A-Za-z0-9_./-])/(work|home/[a-z]+|root)/`)
	err := filepath.WalkDir(repoRoot, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && slices.Contains([]string{"node_modules", ".git", "build", "vendor"}, entry.Name()) {
			return filepath.SkipDir
		}
		if entry.IsDir() || !slices.Contains([]string{".go", ".sql", ".md", ".gohtml", ".js", ".css", ".json", ".toml", ".sh", ""},
			filepath.Ext(path)) || entry.Name() == "LICENSE" {
			return nil
		}
		text, err := os.ReadFile(path)
		assert.NotRegexp(t, machinePath, string(text), path)
		return err
	})
	require.NoError(t, err)
}
