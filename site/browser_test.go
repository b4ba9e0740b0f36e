package site

import (
	"context"
	"encoding/json"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/site/book"
)

// chromium is where Debian installs the browser.
const chromium = "/usr/bin/chromium"

// shared is the browser that all tests of the package share: each gets a tab of its own. Starting one takes seconds.
var shared = sync.OnceValues(func() (sharedBrowser, error) { return startBrowser() })

type sharedBrowser struct {
	ctx  context.Context
	stop func()
}

// startBrowser starts a browser that can reach no network, with a profile and a temporary folder of its own, which go with it.
func startBrowser(environment ...string) (sharedBrowser, error) {
	scratch, err := os.MkdirTemp("", "browser-")
	if err != nil {
		return sharedBrowser{}, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Env(append(environment, "TMPDIR="+scratch)...),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("no-first-run", true), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(allocator)
	b := sharedBrowser{ctx, func() {
		_ = chromedp.Cancel(ctx) // a browser that is killed leaves files behind
		end()
		stop()
		_ = os.RemoveAll(scratch)
	}}
	return b, chromedp.Do(ctx, chromedp.Navigate("about:blank"))
}

// TestMain ends the shared browser.
func TestMain(m *testing.M) {
	code := m.Run()
	if isBrowserStarted {
		if b, err := shared(); err == nil {
			b.stop()
		}
	}
	os.Exit(code)
}

var isBrowserStarted bool

// newBrowser opens a tab of the shared browser.
func newBrowser(t *testing.T) context.Context {
	require.FileExists(t, chromium, "apt-get install chromium")
	isBrowserStarted = true
	b, err := shared()
	require.NoError(t, err)
	return newTab(t, b)
}

// newTab opens a tab, and closes it with the test.
func newTab(t *testing.T, b sharedBrowser) context.Context {
	tab, end := chromedp.NewContext(b.ctx)
	t.Cleanup(end)
	limited, cancel := context.WithTimeout(tab, 10*time.Minute)
	t.Cleanup(cancel)
	return limited
}

// builtSite builds the made district into a folder and writes an empty file for each download.
func builtSite(t *testing.T) string { return builtWith(t, madeDistrict()) }

func builtWith(t *testing.T, data *book.Data) string {
	dir := t.TempDir()
	require.NoError(t, Build(dir, data))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "data"), 0o755))
	for _, name := range data.Downloads {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "data", name), nil, 0o644))
	}
	return dir
}

// pagesOf lists the pages below dir, sorted.
func pagesOf(t *testing.T, dir string) []string {
	var pages []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".html") {
			pages = append(pages, path)
		}
		return err
	}))
	return pages
}

func fileURL(path string) string { return (&url.URL{Scheme: "file", Path: path}).String() }

// faults gathers what a browser must not do; events arrive on the browser's goroutine.
type faults struct {
	mutex sync.Mutex
	list  []string
}

func (f *faults) add(text string) {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	f.list = append(f.list, text)
}

func (f *faults) all() []string {
	f.mutex.Lock()
	defer f.mutex.Unlock()
	return slices.Clone(f.list)
}

// watch listens for errors and for requests to anything outside the folder.
func watch(t *testing.T, ctx context.Context, dir string) *faults {
	f := &faults{}
	require.NoError(t, chromedp.Listen(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			f.add("exception: " + e.ExceptionDetails.Text)
		case *runtime.EventConsoleAPICalled:
			f.add("console: " + e.Type.String())
		case *log.EventEntryAdded:
			f.add("log: " + e.Entry.Text + " " + e.Entry.URL)
		case *network.EventRequestWillBeSent:
			if u := e.Request.URL; !strings.HasPrefix(u, fileURL(dir)+"/") && !strings.HasPrefix(u, "data:") {
				f.add("request: " + u)
			}
		}
	}))
	for _, err := range []error{call(ctx, network.Enable, network.EnableParams{}), call(ctx, log.Enable, cdp.Empty{}),
		call(ctx, runtime.Enable, cdp.Empty{})} {
		require.NoError(t, err)
	}
	return f
}

func call[P, R any](ctx context.Context, command cdp.Command[P, R], params P) error {
	_, err := chromedp.Call(ctx, command, params)
	return err
}

// state is what a page tells of itself.
type state struct {
	Title string `json:"title"`
	Width int    `json:"width"`
	// counts of things that should be, and of those of them that are
	Charts   int `json:"charts"`
	Drawn    int `json:"drawn"`
	Pictures int `json:"pictures"`
	Marked   int `json:"marked"`
	Labelled int `json:"labelled"`
	Links    int `json:"links"`
	Reached  int `json:"reached"`
	// counts of things that should not be
	Scripts int `json:"scripts"`
	Unnamed int `json:"unnamed"`
	Foreign int `json:"foreign"`
	Turned  int `json:"turned"`
	// each landmark and the top heading, once
	Landmarks []int `json:"landmarks"`
	// of 360 px: the least side of a link in the menu, and the greatest share of a table's frame that its first column covers
	Target  float64 `json:"target"`
	Covered float64 `json:"covered"`
}

// askState asks once the window's change of size has been drawn.
const askState = `new Promise(drawn => requestAnimationFrame(() => requestAnimationFrame(drawn))).then(() => JSON.stringify((() => {
	const all = s => [...document.querySelectorAll(s)], pictures = all('figure .scroll > svg'), charts = all('.chart')
	const tables = all('.scroll:has(> table)').filter(f => f.checkVisibility())
	const links = all('nav a').map(a => a.getBoundingClientRect())
	return {
		title: document.title, width: document.documentElement.scrollWidth,
		charts: charts.length, drawn: charts.filter(c => c.querySelectorAll('svg path').length > 10).length,
		pictures: pictures.length, marked: pictures.filter(s => s.querySelector('rect,path,circle')).length,
		labelled: charts.concat(pictures).filter(p => p.getAttribute('role') === 'img' &&
			/^\S.{10,}\.$/s.test(p.getAttribute('aria-label'))).length,
		links: links.length, reached: links.filter(r => r.left >= 0 && r.right <= window.innerWidth).length,
		scripts: all('script:not([src])').filter(s => s.type !== 'application/json').length,
		unnamed: all('table:not(:has(caption))').length,
		foreign: all('img, iframe, object, embed, form, b, i, marquee, base').length,
		turned: (document.documentElement.textContent.match(/[\u202a-\u202e\u2066\u2067\u200b\ufeff]/g) || []).length,
		landmarks: ['body > header', 'nav[aria-label]', 'main', 'body > footer', 'h1'].map(s => all(s).length),
		target: Math.min(...links.map(r => Math.min(r.width, r.height))),
		covered: Math.max(0, ...tables.map(f => { const head = f.querySelector('tbody th');
			return getComputedStyle(head).position === 'sticky' ? head.offsetWidth / f.clientWidth : 0 })) } })()))`

// visit opens a page at a width and asks it for its state.
func visit(t *testing.T, ctx context.Context, path string, width int64) state {
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(fileURL(path))), path)
	return askPage(t, ctx, path)
}

// askPage asks the page that is open for its state.
func askPage(t *testing.T, ctx context.Context, path string) state {
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](askState, chromedp.EvalAwaitPromise))
	require.NoError(t, err, path)
	var got state
	require.NoError(t, json.Unmarshal([]byte(text), &got))
	return got
}

// holds checks what is true of every page at every width.
func holds(t *testing.T, got state, name string, width int64) {
	assert.LessOrEqual(t, got.Width, int(width), "%s scrolls sideways at %d px", name, width)
	assert.Equal(t, got.Charts, got.Drawn, "%s: charts without marks", name)
	assert.Equal(t, got.Pictures, got.Marked, "%s: pictures without marks", name)
	assert.Equal(t, got.Charts+got.Pictures, got.Labelled, "%s: pictures without a sentence", name)
	assert.GreaterOrEqual(t, got.Links, len(menu), name)
	assert.Equal(t, got.Links, got.Reached, "%s: links of the menu outside the window at %d px", name, width)
	assert.NotEqual(t, "taken", got.Title, "%s: a name ran as code", name)
	assert.Zero(t, got.Scripts, "%s: a script stands in the page", name)
	assert.Zero(t, got.Foreign, "%s: a name made elements", name)
	assert.Zero(t, got.Turned, "%s: a name turns the text after it", name)
	assert.Zero(t, got.Unnamed, "%s: a table has no caption", name)
	assert.Equal(t, []int{1, 1, 1, 1, 1}, got.Landmarks, "%s: header, menu, main, footer, heading", name)
	assert.GreaterOrEqual(t, got.Target, 24.0, "%s: a link of the menu is smaller than WCAG 2.2, 2.5.8 asks", name)
	assert.LessOrEqual(t, got.Covered, 0.6, "%s: the first column covers the table at %d px", name, width)
}

// Every page is opened once and then made narrower, so that charts are drawn anew too.
func TestEveryPageInABrowser(t *testing.T) {
	dir := builtWith(t, madeSeasons(8))
	ctx := newBrowser(t)
	seen := watch(t, ctx, dir)
	pages := pagesOf(t, dir)
	require.Len(t, pages, 12+1+2*16+14+2*6)
	for _, path := range pages {
		name, _ := filepath.Rel(dir, path)
		holds(t, visit(t, ctx, path, 1280), name, 1280)
		for _, width := range []int64{768, 360} {
			require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, 900)))
			holds(t, askPage(t, ctx, path), name, width)
		}
	}
	assert.Empty(t, seen.all())
}

func TestChartsTellTheirValuesOnHover(t *testing.T) {
	dir := builtSite(t)
	ctx := newBrowser(t)
	seen := watch(t, ctx, dir)
	got := visit(t, ctx, filepath.Join(dir, "index.html"), 1280)
	require.Equal(t, 1, got.Charts)
	tip, err := chromedp.Run(ctx, chromedp.Evaluate[string](`(() => {
		const place = document.getElementById('season-rates');
		echarts.getInstanceByDom(place).dispatchAction({type: 'showTip', seriesIndex: 0, dataIndex: 3});
		return place.textContent + ' ' + document.title; })()`))
	require.NoError(t, err)
	assert.Contains(t, tip, "acetate")
	assert.NotContains(t, tip, "taken")
	assert.Empty(t, seen.all())
}
