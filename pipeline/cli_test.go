package pipeline

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestHelpOfEveryCommand: each command has an example of its own that the command line takes, with the folder it names there; the same text
// stands in the manual page.
func TestHelpOfEveryCommand(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.Mkdir("winter", 0o755))
	require.NoError(t, os.WriteFile("roads.geojson", nil, 0o644))
	model, err := commandModel()
	require.NoError(t, err)
	manual, words, code := lanetally(t, "manual")
	require.Zero(t, code, words)
	plain := strings.NewReplacer(`\-`, "-", `\e`, `\`).Replace(manual)
	for _, command := range model.Children {
		help, words, code := lanetally(t, "help", command.Name)
		require.Zero(t, code, words)
		example := regexp.MustCompile(`(?m)^ +lanetally (.*)$`).FindStringSubmatch(help)
		require.NotNil(t, example, command.Name)
		assert.Contains(t, plain, strings.TrimSpace(example[0]))
		line, _, _ := strings.Cut(example[1], " > ")
		args := strings.Fields(strings.ReplaceAll(line, `"Hill district"`, "Hill"))
		assert.Equal(t, command.Name, args[0])
		parser, err := newParser(new(commands), os.Stdout, os.Stderr, func(int) {})
		require.NoError(t, err)
		_, err = parser.Parse(args)
		assert.NoError(t, err, example[1])
	}
	for _, request := range regexp.MustCompile(`(?m)^[.'].*$`).FindAllString(manual, -1) {
		assert.Regexp(t, `^\.(TH|SH|SS|TP|PP|nf|fi|B)\b`, request)
	}
}

// TestCompletion: bash completes commands, and the flags of the command that stands there.
func TestCompletion(t *testing.T) {
	script, words, code := lanetally(t, "completion")
	require.Zero(t, code, words)
	file := filepath.Join(t.TempDir(), "completion")
	require.NoError(t, os.WriteFile(file, []byte(script), 0o644))
	for _, c := range []struct{ typed, word, want string }{
		{`lanetally nig`, "1", "nightly"}, {`lanetally nightly --acc`, "2", "--accept"}, {`lanetally storm --js`, "2", "--json"},
	} {
		command := exec.Command("bash", "-c", `. "$0"; COMP_WORDS=($1); COMP_CWORD=$2; _lanetally; echo "${COMPREPLY[@]}"`, file, c.typed,
			c.word)
		out, err := command.CombinedOutput()
		require.NoError(t, err, string(out))
		assert.Equal(t, c.want+"\n", string(out), c.typed)
	}
}

// TestCommandLineHabits: the version by its flag too, quiet, and a folder that is not there.
func TestCommandLineHabits(t *testing.T) {
	byCommand, _, code := lanetally(t, "version")
	require.Zero(t, code)
	byFlag, _, code := lanetally(t, "--version")
	assert.Zero(t, code)
	assert.Equal(t, byCommand, byFlag)
	dir := filepath.Join(t.TempDir(), "winter")
	_, words, code := lanetally(t, "new", dir, "-q")
	assert.Zero(t, code)
	assert.Empty(t, words)
	_, words, code = lanetally(t, "nightly", "nowhere")
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, words, "there is no folder nowhere; make a district with lanetally new nowhere")
}

// TestKeysOfJSON: every key that a command prints is lower case with underscores, and what is a number in a file is one here.
func TestKeysOfJSON(t *testing.T) {
	dir := copyTiny(t)
	_, words, code := lanetally(t, "nightly", dir, "--now", demoNow)
	require.Zero(t, code, words)
	storms, err := readPublished(dir, "storms")
	require.NoError(t, err)
	for _, args := range [][]string{{"check", dir}, {"status", dir}, {"storm", dir, storms[0]["storm_id"]}, {"plan", dir},
		{"nightly", dir, "--now", demoNow}} {
		out, words, _ := lanetally(t, append(args, "--json")...)
		var value any
		require.NoError(t, json.Unmarshal([]byte(out), &value), words)
		keys := 0
		walkJSON(value, func(key string, value any) {
			keys++
			assert.Regexp(t, `^[a-z][a-z0-9_]*$`, key, args[0])
			if text, isText := value.(string); isText {
				assert.NotRegexp(t, `^-?\d+\.\d+$`, text, "%s %s", args[0], key)
			}
		})
		assert.Greater(t, keys, 5, args[0])
	}
}

// walkJSON calls visit with every key and its value.
func walkJSON(value any, visit func(key string, value any)) {
	switch value := value.(type) {
	case map[string]any:
		for key, inner := range value {
			visit(key, inner)
			walkJSON(inner, visit)
		}
	case []any:
		for _, inner := range value {
			walkJSON(inner, visit)
		}
	}
}
