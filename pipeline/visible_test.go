package pipeline

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestControlCharactersAreShown: a file whose name clears the screen, forges a line and turns the text, with such a header and cell, steers
// neither the terminal nor who reads the log or a page, and each of them shows what it is called.
func TestControlCharactersAreShown(t *testing.T) {
	const evil = "x\x1b[2J\x9d\u009bA\u007f\u202e"
	dir := copyTiny(t)
	name := strings.ToValidUTF8(evil, "") + "\nall is well.csv"
	addFile(t, dir, "passes/"+name, strings.Replace(hostileHeader, "\n", ",\x1b]0;title\a\n", 1)+
		strings.TrimSuffix(hostileRow("p9\x1b[1m", "t2", "2028-01-10 08:00", "10"), "\n")+",z\n")
	addFile(t, dir, "passes/folder\x1b[31m.csv/note.pdf", "no table")
	shown := `x\u001b[2J\u009bA\u007f\u202e\u000aall is well.csv`
	for _, command := range []string{"check", "nightly", "status"} {
		out, words, _ := lanetally(t, command, dir, "--now", "2028-03-01T11:15:00Z")
		assertVisible(t, out+words, command)
		if command != "status" {
			assert.Contains(t, out+words, shown, command)
			assert.Contains(t, out+words, `\u001b]0;title\u0007`, command)
		}
		out, words, _ = lanetally(t, command, dir, "--json", "--now", "2028-03-01T11:15:00Z")
		assertVisible(t, out+words, command+" --json")
	}
	pages := 0
	for _, folder := range []string{"log", "current/public"} {
		folder, err := filepath.EvalSymlinks(filepath.Join(dir, folder))
		require.NoError(t, err)
		require.NoError(t, filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
			isPage := !strings.Contains(path, "/vendor/") && filepath.Ext(path) != ".csv" && filepath.Ext(path) != ".parquet"
			if err == nil && isPage && !entry.IsDir() {
				pages++
				assertVisible(t, string(must(os.ReadFile(path))), path)
			}
			return err
		}))
	}
	assert.Greater(t, pages, 20)
	page := string(must(os.ReadFile(filepath.Join(dir, "current", "public", "data.html"))))
	assert.Contains(t, page, `x\u001b[2J\u009bA\u007f\u202e\u000aall is well.csv`)
}

func assertVisible(t *testing.T, text, where string) {
	t.Helper()
	at := strings.IndexFunc(text, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' || r == '\u202e' })
	if at >= 0 {
		assert.Fail(t, "a control character", "%s: %q", where, text[max(0, at-60):min(len(text), at+60)])
	}
}
