package site

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// numberStops gives what the keyboard should reach a number each, in the document's order, and tells how many there are.
const numberStops = `[...document.querySelectorAll('a[href], button, summary, input, select, textarea, [tabindex="0"]')]
	.filter(e => e.checkVisibility() && !e.disabled).map((e, i) => e.dataset.stop = i).length`

// askStop tells where the keyboard is: the number, whether the frame around it shows, and whether it lies in the window.
const askStop = `JSON.stringify((e => { const s = getComputedStyle(e), r = e.getBoundingClientRect(); return {
	stop: e.dataset.stop === undefined ? -1 : +e.dataset.stop, class: e.className, text: e.textContent.slice(0, 40),
	framed: s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2 && s.outlineColor !== s.backgroundColor,
	inside: r.right > 0 && r.bottom > 0 && r.left < innerWidth && r.top < innerHeight } })(document.activeElement))`

type stop struct {
	Stop   int    `json:"stop"`
	Class  string `json:"class"`
	Text   string `json:"text"`
	Framed bool   `json:"framed"`
	Inside bool   `json:"inside"`
}

func press(t *testing.T, ctx context.Context, key string, held ...chromedp.KeyOption) (s stop) {
	require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(key, held...)))
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](askStop))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal([]byte(text), &s))
	return s
}

// The keyboard reaches everything on the season page in the order of the document, the way past the menu first, leaves it again, and
// walks the same way back.
func TestTheKeyboardWalksTheSeasonPage(t *testing.T) {
	dir := builtWith(t, madeSeasons(6))
	ctx := newBrowser(t)
	visit(t, ctx, filepath.Join(dir, "index.html"), 1280)
	total, err := chromedp.Run(ctx, chromedp.Evaluate[int](numberStops))
	require.NoError(t, err)
	require.Greater(t, total, 30)
	for i := range total {
		s := press(t, ctx, "\t")
		require.Equal(t, i, s.Stop, "after %d stops of %d: %q", i, total, s.Text)
		assert.True(t, s.Framed, "stop %d shows no frame: %q", i, s.Text)
		assert.True(t, s.Inside, "stop %d is out of sight: %q", i, s.Text)
		if i == 0 {
			assert.Equal(t, "skip", s.Class)
		}
	}
	assert.NotEqual(t, total-1, press(t, ctx, "\t").Stop, "the last stop holds the keyboard")
	back := chromedp.KeyModifiers(chromedp.ModifierShift)
	for i := total - 1; i >= 0; i-- {
		s := press(t, ctx, "\t", back)
		require.Equal(t, i, s.Stop, "backwards, with %d stops of %d to go: %q", i, total, s.Text)
		assert.True(t, s.Framed, "stop %d shows no frame on the way back: %q", i, s.Text)
		assert.True(t, s.Inside, "stop %d is out of sight on the way back: %q", i, s.Text)
	}
	assert.NotEqual(t, 0, press(t, ctx, "\t", back).Stop, "the first stop holds the keyboard")
}

func TestTheFirstLinkSkipsTheMenu(t *testing.T) {
	dir := builtWith(t, madeSeasons(3))
	ctx := newBrowser(t)
	visit(t, ctx, filepath.Join(dir, "index.html"), 360)
	require.Equal(t, "skip", press(t, ctx, "\t").Class)
	press(t, ctx, "\r")
	where, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.activeElement.id`))
	require.NoError(t, err)
	assert.Equal(t, "main", where)
}

// askColours tells of a page's grounds, texts and marks, as the browser draws them.
const askColours = `JSON.stringify((() => {
	const probe = document.createElement('canvas').getContext('2d', {willReadFrequently: true})
	const read = c => { probe.clearRect(0, 0, 1, 1); probe.fillStyle = c; probe.fillRect(0, 0, 1, 1); return [...probe.getImageData(0, 0,
		1, 1).data].slice(0, 3).join() }
	const ground = read(getComputedStyle(document.body).backgroundColor), hidden = {}, style = e => getComputedStyle(e)
	for (const e of document.querySelectorAll('figure svg :is(rect, path, circle, line, text, polygon), .sprite symbol *')) {
		const s = style(e), paints = [s.fill, s.stroke].filter(p => p !== 'none' && !p.includes('url'))
		if (e.closest('defs') || e.closest('.chart')?.offsetParent === null || s.fillOpacity === '0' || paints.length === 0) continue
		if (paints.every(p => p === 'rgba(0, 0, 0, 0)' || p === 'transparent')) continue
		if (paints.every(p => read(p) === ground)) hidden[e.tagName + '.' + (e.getAttribute('class') || e.outerHTML.slice(0, 90))] = 1
	}
	const mark = document.querySelector('.mark.acetate')
	return {ground, mark: mark ? read(style(mark).fill) : '', link: read(style(document.querySelector('footer a')).color),
		text: read(style(document.querySelector('main p')).color), hidden: Object.keys(hidden),
			moving: document.getAnimations().length} })())`

type painted struct {
	Ground string   `json:"ground"`
	Text   string   `json:"text"`
	Mark   string   `json:"mark"` // of acetate
	Link   string   `json:"link"`
	Hidden []string `json:"hidden"`
	Moving int      `json:"moving"`
}

func coloursOf(t *testing.T, ctx context.Context, path string) (c painted) {
	visit(t, ctx, path, 1280)
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](askColours))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal([]byte(text), &c))
	return c
}

// bytesOf writes a colour as three bytes: "255,255,255".
func bytesOf(t *testing.T, hex string) string {
	n, err := strconv.ParseUint(hex, 16, 24)
	require.NoError(t, err)
	return fmt.Sprintf("%d,%d,%d", n>>16, n>>8&0xff, n&0xff)
}

// What pictures draw shows in the light, in the dark and in the reader's own colours, and nothing moves.
func TestPicturesShowInEveryScheme(t *testing.T) {
	dir := builtWith(t, madeSeasons(5))
	ctx := newBrowser(t)
	for _, name := range kindsOf(t, dir) {
		if name == "methods.html" || name == "data.html" || name == "crews.html" {
			continue // no pictures
		}
		for _, scheme := range []string{"light", "dark"} {
			emulate(t, ctx, "prefers-color-scheme", scheme, "prefers-reduced-motion", "reduce")
			got := coloursOf(t, ctx, filepath.Join(dir, name))
			assert.Equal(t, bytesOf(t, schemes(t)[scheme]["paper"]), got.Ground, "%s, %s", name, scheme)
			assert.Equal(t, bytesOf(t, schemes(t)[scheme]["ink"]), got.Text, "%s, %s", name, scheme)
			assert.Empty(t, got.Hidden, "%s, %s: drawn in the colour of the ground", name, scheme)
			assert.Zero(t, got.Moving, "%s, %s", name, scheme)
			emulate(t, ctx, "prefers-color-scheme", scheme, "forced-colors", "active")
			forced := coloursOf(t, ctx, filepath.Join(dir, name))
			assert.Contains(t, []string{"255,255,255", "0,0,0"}, forced.Ground, "%s, %s: the reader's ground", name, scheme)
			assert.Contains(t, []string{"", forced.Link}, forced.Mark, "%s, %s: marks follow the reader's colours", name, scheme)
			assert.Empty(t, forced.Hidden, "%s, %s, the reader's colours: drawn in the colour of the ground", name, scheme)
		}
	}
}

// Times are the district's wherever the pages are made and read.
func TestTimesAreTheSameInAuckland(t *testing.T) {
	away, err := time.LoadLocation("Pacific/Auckland")
	require.NoError(t, err)
	home := time.Local
	time.Local = away
	t.Cleanup(func() { time.Local = home })
	files := built(t, madeDistrict())
	time.Local = home
	for name, text := range made(t) {
		assert.Equal(t, text, files[name], "%s differs", name)
	}

	dir := builtWith(t, madeSeasons(3))
	far, err := startBrowser("TZ=Pacific/Auckland")
	require.NoError(t, err)
	t.Cleanup(far.stop)
	there, here := newTab(t, far), newBrowser(t)
	zone, err := chromedp.Run(there, chromedp.Evaluate[string](`Intl.DateTimeFormat().resolvedOptions().timeZone`))
	require.NoError(t, err)
	require.Equal(t, "Pacific/Auckland", zone)
	for _, name := range kindsOf(t, dir) {
		texts := []string{}
		for _, ctx := range []context.Context{there, here} {
			visit(t, ctx, filepath.Join(dir, name), 1280)
			text, err := chromedp.Run(ctx, chromedp.Evaluate[string](
				`document.body.innerText + [...document.querySelectorAll('svg text')].map(e => e.textContent).join('|')`))
			require.NoError(t, err)
			texts = append(texts, text)
		}
		assert.Equal(t, texts[1], texts[0], name)
		assert.Contains(t, texts[0], "America/Chicago", name)
	}
}
