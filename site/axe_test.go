package site

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checkers is where make test installs what pages are held against.
var checkers = filepath.Join("..", "testdata", "checkers", "node_modules")

// askAxe runs axe-core (npm: axe-core) with the rules of WCAG 2.0 to 2.2, levels A and AA, and its best practices, and
// tells what it finds, one text a violation.
const askAxe = `axe.run(document, {resultTypes: ['violations'],
	runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}})
	.then(r => JSON.stringify(r.violations.map(v => v.id + ': ' + v.help + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0,
		200) + ' ' + n.failureSummary).join(' | '))))`

// emulate sets what the reader's system asks for, as name and value.
func emulate(t *testing.T, ctx context.Context, features ...string) {
	var list []*emulation.MediaFeature
	for i := 0; i < len(features); i += 2 {
		list = append(list, &emulation.MediaFeature{Name: features[i], Value: features[i+1]})
	}
	require.NoError(t, call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: list}))
}

func TestAxeFindsNothing(t *testing.T) {
	source, err := os.ReadFile(filepath.Join(checkers, "axe-core", "axe.min.js"))
	require.NoError(t, err, "run npm ci --ignore-scripts in testdata/checkers")
	dir := builtWith(t, madeSeasons(5))
	ctx := newBrowser(t)
	for _, name := range kindsOf(t, dir) {
		emulate(t, ctx, "prefers-color-scheme", "light")
		visit(t, ctx, filepath.Join(dir, name), 360)
		require.NoError(t, chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](string(source))))
		assert.Empty(t, violations(t, ctx), "%s, light, 360 px", name)
		emulate(t, ctx, "prefers-color-scheme", "dark")
		require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(1280, 900)))
		assert.Empty(t, violations(t, ctx), "%s, dark, 1280 px", name)
	}
}

func violations(t *testing.T, ctx context.Context) []string {
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](askAxe, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	var list []string
	require.NoError(t, json.Unmarshal([]byte(text), &list))
	return list
}

// kindsOf names one page of every kind, and those with hostile names.
func kindsOf(t *testing.T, dir string) []string {
	storms, err := filepath.Glob(filepath.Join(dir, "storms", "*.html"))
	require.NoError(t, err)
	require.NotEmpty(t, storms)
	kinds := []string{"seasons/2029-30.html", "routes/=2e=2e=2fx.html", "routes/r_05.html", "routes/r_07.html", "crews/c_3.html",
		"storms/" + filepath.Base(storms[len(storms)-1])}
	for _, entry := range menu {
		kinds = append(kinds, entry.Href)
	}
	return kinds
}
