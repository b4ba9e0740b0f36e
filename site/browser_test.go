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
)

// chromium is where Debian installs the browser.
const chromium = "/usr/bin/chromium"

// newBrowser starts a browser that can reach no network, with a profile of its own.
func newBrowser(t *testing.T) context.Context {
	if _, err := os.Stat(chromium); err != nil {
		t.Skip("chromium is not installed: apt-get install chromium")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("no-first-run", true), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"))
	allocator, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	browser, end := chromedp.NewContext(allocator)
	t.Cleanup(end)
	limited, cancel := context.WithTimeout(browser, 5*time.Minute)
	t.Cleanup(cancel)
	return limited
}

// builtSite builds the made district into a folder and writes an empty file for each download.
func builtSite(t *testing.T) string {
	dir := t.TempDir()
	data := madeDistrict()
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
	for _, err := range []error{call(ctx, network.Enable, network.EnableParams{}), call(ctx, log.Enable, cdp.Empty{}), call(ctx, runtime.Enable, cdp.Empty{})} {
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
	Title    string `json:"title"`
	Width    int    `json:"width"`
	Inner    int    `json:"inner"`
	Charts   int    `json:"charts"`
	Drawn    int    `json:"drawn"`
	Pictures int    `json:"pictures"`
	Marked   int    `json:"marked"`
	Scripts  int    `json:"scripts"`
	Unnamed  int    `json:"unnamed"`
}

const askState = `JSON.stringify({
	title: document.title, width: document.documentElement.scrollWidth, inner: window.innerWidth,
	charts: document.querySelectorAll('.chart').length,
	drawn: [...document.querySelectorAll('.chart')].filter(c => c.querySelectorAll('svg path').length > 10).length,
	pictures: document.querySelectorAll('figure .scroll > svg').length,
	marked: [...document.querySelectorAll('figure .scroll > svg')].filter(s => s.querySelectorAll('rect,path,circle').length > 0).length,
	scripts: [...document.scripts].filter(s => !s.src && s.type !== 'application/json').length,
	unnamed: document.querySelectorAll('table:not(:has(caption))').length})`

// visit opens a page at a width and asks it for its state.
func visit(t *testing.T, ctx context.Context, path string, width int64) state {
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(fileURL(path))), path)
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](askState))
	require.NoError(t, err, path)
	var got state
	require.NoError(t, json.Unmarshal([]byte(text), &got))
	return got
}

func TestEveryPageInABrowser(t *testing.T) {
	dir := builtSite(t)
	ctx := newBrowser(t)
	seen := watch(t, ctx, dir)
	pages := pagesOf(t, dir)
	require.Len(t, pages, 11+1+2*48+14+2*6)
	for _, path := range pages {
		name, _ := filepath.Rel(dir, path)
		for _, width := range widthsOf(name) {
			got := visit(t, ctx, path, width)
			assert.LessOrEqual(t, got.Width, int(width), "%s scrolls sideways at %d px", name, width)
			assert.Equal(t, got.Charts, got.Drawn, "%s: charts without marks", name)
			assert.Equal(t, got.Pictures, got.Marked, "%s: pictures without marks", name)
			assert.NotEqual(t, "taken", got.Title, "%s: a name ran as code", name)
			assert.Zero(t, got.Scripts, "%s: a script stands in the page", name)
			assert.Zero(t, got.Unnamed, "%s: a table has no caption", name)
		}
	}
	assert.Empty(t, seen.all())
}

// widthsOf takes every page at a phone's width, and one page of each kind at all three.
func widthsOf(name string) []int64 {
	if filepath.Dir(name) == "." || strings.Contains(name, "=") || strings.HasPrefix(name, "seasons") {
		return []int64{360, 768, 1280}
	}
	return []int64{360}
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

// The first stop of the keyboard is the link that skips the menu; every link of the menu and every wide table is a stop.
func TestTheKeyboardReachesTheSeasonPage(t *testing.T) {
	dir := builtSite(t)
	ctx := newBrowser(t)
	visit(t, ctx, filepath.Join(dir, "index.html"), 1280)
	stops := map[string]int{}
	for range 40 {
		require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent("\t")))
		stop, err := chromedp.Run(ctx, chromedp.Evaluate[string](`(e => e.className + '|' + e.tagName + '|' + (e.textContent || '').slice(0, 12))(document.activeElement)`))
		require.NoError(t, err)
		if len(stops) == 0 {
			assert.Contains(t, stop, "skip|A|")
		}
		stops[stop]++
	}
	for _, entry := range menu {
		assert.Contains(t, stops, "|A|"+entry.Text[:min(len(entry.Text), 12)])
	}
	scrolls := 0
	for stop := range stops {
		if strings.HasPrefix(stop, "scroll") {
			scrolls++
		}
	}
	assert.GreaterOrEqual(t, scrolls, 2)
}
