package site

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// ask runs a script in the page and reads its JSON.
func ask[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("JSON.stringify("+script+")"))
	require.NoError(t, err)
	var value T
	require.NoError(t, json.Unmarshal([]byte(text), &value))
	return value
}

// act runs statements in the page, and waits until events that they raise are over.
func act(t *testing.T, ctx context.Context, statements string) {
	t.Helper()
	ask[int](t, ctx, `(() => { `+statements+`; return 0; })()`)
	require.NoError(t, chromedp.Do(ctx, chromedp.Sleep(100*time.Millisecond)))
}

// open goes to a page afresh, also where only the part after # differs.
func open(t *testing.T, ctx context.Context, url string) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("about:blank"), chromedp.Navigate(url)))
}

// column lists the texts of a table's shown cells in one column, top to bottom.
func column(t *testing.T, ctx context.Context, table string, at int) []string {
	t.Helper()
	return ask[[]string](t, ctx, `[...document.querySelectorAll('#`+table+` tbody tr')].filter(r => r.offsetHeight > 0).map(r => r.cells[`+
		strconv.Itoa(at)+`].textContent)`)
}

// sortButton is a selector of a column's button.
func sortButton(table, key string) string {
	return "#" + table + ` th[data-sorts="` + key + `"] button`
}

// numbersOf reads shown numbers; the missing ones must be last and are left out.
func numbersOf(t *testing.T, texts []string) []float64 {
	t.Helper()
	var numbers []float64
	for _, text := range texts {
		if text == format.Missing {
			break
		}
		x, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", ""), 64)
		require.NoError(t, err, "missing values are not last: %v", texts)
		numbers = append(numbers, x)
	}
	for _, text := range texts[len(numbers):] {
		require.Equal(t, format.Missing, text)
	}
	return numbers
}

// findingSite is the made district with three minor storms and one row without a number.
func findingSite(t *testing.T) string {
	data := madeDistrict()
	addMinorStorms(data, 3)
	rows := stormTallies(data)
	rows[len(rows)-4].AppliedLb = nil
	dir := t.TempDir()
	require.NoError(t, Build(dir, data))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "data"), 0o755))
	return dir
}

// TestFindingInABrowser sorts, filters, switches and searches from a folder, without a network.
func TestFindingInABrowser(t *testing.T) {
	dir := findingSite(t)
	ctx := newBrowser(t)
	seen := watch(t, ctx, dir)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(360, 900)))
	page := func(name string) string { return fileURL(filepath.Join(dir, name)) }
	t.Run("sort by click and by keyboard", func(t *testing.T) { sortTables(t, ctx, page("index.html")) })
	t.Run("filter, reload, follow a place", func(t *testing.T) { filterTables(t, ctx, page("index.html")) })
	t.Run("find words in rows", func(t *testing.T) { findRows(t, ctx, page("data.html")) })
	t.Run("crews", func(t *testing.T) { crewTables(t, ctx, page("routes.html")) })
	t.Run("minor storms", func(t *testing.T) { switchMinor(t, ctx, page("storms.html")) })
	t.Run("search", func(t *testing.T) { searchPages(t, ctx, page("search.html")) })
	t.Run("without JavaScript", func(t *testing.T) { withoutScript(t, ctx, page("storms.html"), page("search.html")) })
	assert.Empty(t, seen.all())
}

func sortTables(t *testing.T, ctx context.Context, url string) {
	open(t, ctx, url)
	delivered := column(t, ctx, "season-storms", 6)
	require.Len(t, delivered, 48)
	require.NoError(t, chromedp.Do(ctx, chromedp.Click(sortButton("season-storms", "applied"))))
	numbers := numbersOf(t, column(t, ctx, "season-storms", 6))
	assert.Len(t, numbers, 47)
	assert.True(t, slices.IsSorted(numbers), "1,204 stands after 980: %v", numbers)
	state := func() string {
		return ask[string](t, ctx, `document.querySelector('#season-storms th[data-sorts="applied"]').getAttribute('aria-sort') || 'none'`)
	}
	assert.Equal(t, "ascending", state())
	require.NoError(t, chromedp.Do(ctx, chromedp.Focus(sortButton("season-storms", "applied")), chromedp.KeyEvent("\r")))
	assert.Equal(t, "descending", state())
	numbers = numbersOf(t, column(t, ctx, "season-storms", 6))
	slices.Reverse(numbers)
	assert.True(t, len(numbers) == 47 && slices.IsSorted(numbers), "missing last also from the highest down")
	assert.Equal(t, "48 of 48 rows, by Applied, highest first",
		ask[string](t, ctx, `document.querySelector('#every-storm .rows-shown').textContent`))
	require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(" ")))
	assert.Equal(t, "none", state())
	assert.Equal(t, delivered, column(t, ctx, "season-storms", 6), "the third press gives the page's own order back")
	require.NoError(t, chromedp.Do(ctx, chromedp.Focus(sortButton("season-storms", "began")), chromedp.KeyEvent("\r"),
		chromedp.KeyEvent("\r")))
	began := column(t, ctx, "season-storms", 1)
	assert.Contains(t, began[0], ", open", "the open storm is the latest")
	times := make([]time.Time, len(began))
	for i, text := range began {
		at, err := time.Parse("2 Jan 2006, 15:04", strings.TrimSuffix(text, ", open"))
		require.NoError(t, err)
		times[len(began)-1-i] = at
	}
	assert.True(t, slices.IsSortedFunc(times, time.Time.Compare))
	heights := ask[[]float64](t, ctx,
		`[...document.querySelectorAll('button, select, summary')].map(b => b.getBoundingClientRect()).filter(r => r.width > 0).map(r `+
			`=> Math.min(r.height, r.width))`)
	require.NotEmpty(t, heights)
	assert.GreaterOrEqual(t, slices.Min(heights), 24.0, "WCAG 2.2, 2.5.8: targets of 24 px")
	assert.LessOrEqual(t, ask[int](t, ctx, `document.documentElement.scrollWidth`), 360)
}

func filterTables(t *testing.T, ctx context.Context, url string) {
	open(t, ctx, url)
	pick := `(() => { const s = document.querySelector('#every-storm .tools select'); s.value = 'acetate';
		s.dispatchEvent(new Event('change')); return s.labels[0].textContent; })()`
	assert.Contains(t, ask[string](t, ctx, pick), "Class", "the filter has a name")
	require.NoError(t, chromedp.Do(ctx, chromedp.Click(sortButton("season-storms", "rate"))))
	list := column(t, ctx, "season-storms", 0)
	require.Len(t, list, 24)
	assert.NotContains(t, column(t, ctx, "season-storms", 2), rows.Chloride)
	address := ask[string](t, ctx, `location.href`)
	assert.True(t, strings.HasSuffix(address, "#season-storms&season-storms.sort=rate&season-storms.only.class=acetate"), address)

	open(t, ctx, address)
	assert.Equal(t, list, column(t, ctx, "season-storms", 0), "a link shows the same rows")
	assert.Less(t, ask[float64](t, ctx, `Math.abs(document.getElementById('season-storms').getBoundingClientRect().top)`), 900.0,
		"and leads to them")
	act(t, ctx, `location.hash = 'course'`)
	assert.True(t, strings.HasSuffix(ask[string](t, ctx, `location.href`),
		"#course&season-storms.sort=rate&season-storms.only.class=acetate"))
	assert.Equal(t, list, column(t, ctx, "season-storms", 0), "a place on the page leaves the rows as they are")
	act(t, ctx, `location.hash = 'season-storms&season-storms.only.class=chloride'`)
	assert.NotContains(t, column(t, ctx, "season-storms", 2), rows.Acetate)
	act(t, ctx, `[...document.querySelectorAll('#every-storm .tools button')].at(-1).click()`)
	assert.Len(t, column(t, ctx, "season-storms", 0), 48)
	open(t, ctx, url+"#nowhere&season-storms.sort=__proto__&season-storms.only.class=%&nothing.find=x&=&.&season-storms.only.class=none")
	assert.Len(t, column(t, ctx, "season-storms", 0), 48, "an address that means nothing hides nothing")
}

func findRows(t *testing.T, ctx context.Context, url string) {
	open(t, ctx, url)
	table := ask[string](t, ctx, `(document.querySelector('table:has(caption[data-find])') || {id: ''}).id`)
	if table == "" {
		t.Fatal("no table of the data page is long enough for a search of its own")
	}
	all := column(t, ctx, table, 0)
	input := `document.getElementById('` + table + `').closest('section').querySelector('.tools input')`
	act(t, ctx, input+`.focus()`)
	require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent("LANES ../x")))
	found := ask[[]string](t, ctx, `[...document.querySelectorAll('#`+table+
		` tbody tr')].filter(r => r.offsetHeight > 0).map(r => r.textContent.toLowerCase())`)
	require.NotEmpty(t, found)
	assert.Less(t, len(found), len(all))
	for _, row := range found {
		assert.True(t, strings.Contains(row, "lanes") && strings.Contains(row, "../x"), row)
	}
	address := ask[string](t, ctx, `location.href`)
	assert.Contains(t, address, ".find=LANES%20..%2Fx")
	open(t, ctx, address)
	assert.Len(t, column(t, ctx, table, 0), len(found))
}

// crewTables asks that tables with crews filter by crew, and sort by names only.
func crewTables(t *testing.T, ctx context.Context, url string) {
	open(t, ctx, url)
	assert.Equal(t, []string{"route", "class", "zone", "assigned", "crew"},
		ask[[]string](t, ctx, `[...document.querySelectorAll('#routes-table th:has(button)')].map(h => h.dataset.sorts)`))
	act(t, ctx,
		`const s = [...document.querySelectorAll('.tools label')].find(l => l.textContent.startsWith('Crew')).querySelector('select');
		s.value = s.options[2].value; s.dispatchEvent(new Event('change'))`)
	crews := column(t, ctx, "routes-table", ask[int](t, ctx,
		`[...document.querySelectorAll('#routes-table thead th')].findIndex(h => h.dataset.sorts === 'crew')`))
	require.NotEmpty(t, crews)
	assert.Len(t, slices.Compact(crews), 1)
	open(t, ctx, url+"#routes-table.sort=-rate")
	assert.Empty(t, ask[[]string](t, ctx, `[...document.querySelectorAll('#routes-table th[aria-sort]')].map(h => h.textContent)`),
		"an address cannot rank crews")
}

func switchMinor(t *testing.T, ctx context.Context, url string) {
	shown := func() (rows, bars int) {
		return len(column(t, ctx, "storms-2030-31", 0)),
			ask[int](t, ctx, `[...document.querySelectorAll('g.minor')].filter(a => getComputedStyle(a).display !== 'none').length`)
	}
	button := `document.querySelector('.minor-note button').textContent`
	open(t, ctx, url)
	rows, bars := shown()
	assert.Equal(t, []int{24, 0}, []int{rows, bars})
	assert.Equal(t, "3 minor storms hidden; show", ask[string](t, ctx, button))
	require.NoError(t, chromedp.Do(ctx, chromedp.Focus(".minor-note button"), chromedp.KeyEvent("\r")))
	rows, bars = shown()
	assert.Equal(t, []int{27, 3}, []int{rows, bars})
	assert.Equal(t, "3 minor storms shown; hide", ask[string](t, ctx, button))
	address := ask[string](t, ctx, `location.href`)
	assert.True(t, strings.HasSuffix(address, "#minor=show"), address)
	open(t, ctx, address)
	rows, bars = shown()
	assert.Equal(t, []int{27, 3}, []int{rows, bars})
}

func searchPages(t *testing.T, ctx context.Context, url string) {
	open(t, ctx, url)
	results := func() []string {
		return ask[[]string](t, ctx,
			`[...document.querySelectorAll('#search-results a')].map(a => a.textContent + ' ' + a.getAttribute('href'))`)
	}
	assert.Empty(t, results())
	require.NoError(t, chromedp.Do(ctx, chromedp.Focus("#query"), chromedp.KeyEvent("mill BRIDGE")))
	require.NotEmpty(t, results())
	assert.Equal(t, "R01 Mill bridge routes/r_01.html", results()[0])
	assert.Equal(t, "1 found.", ask[string](t, ctx, `document.querySelector('#search-count[role=status]').textContent`))
	address := ask[string](t, ctx, `location.href`)
	assert.True(t, strings.HasSuffix(address, "#q=mill%20BRIDGE"), address)
	open(t, ctx, address)
	assert.Equal(t, "R01 Mill bridge routes/r_01.html", results()[0])
	for words, want := range map[string]string{"20301104": "d1-20301104 storms/d1-20301104.html",
		"bare lane after": "Bare lane after methods.html#routes-bare-lane-after", "c3": "C3 ", "</script>": "R14 "} {
		open(t, ctx, url+"#q="+strings.ReplaceAll(words, " ", "%20"))
		require.NotEmpty(t, results(), words)
		assert.True(t, slices.ContainsFunc(results(), func(r string) bool { return strings.HasPrefix(r, want) }), "%s: %v", words,
			results())
	}
	open(t, ctx, url+"#q=nothing-is-called-so")
	assert.Empty(t, results())
	assert.Equal(t, "Nothing found.", ask[string](t, ctx, `document.getElementById('search-count').textContent`))
	open(t, ctx, url+"#q=mill")
	require.NoError(t, chromedp.Do(ctx, chromedp.Focus("#query"), chromedp.KeyEvent("\t"), chromedp.KeyEvent("\r"),
		chromedp.Sleep(300*time.Millisecond)))
	assert.Contains(t, ask[string](t, ctx, `document.title`), "Route R01 Mill bridge", "Tab and Enter lead to the first page found")
}

// withoutScript asks that every row shows, and no control that does nothing.
func withoutScript(t *testing.T, ctx context.Context, storms, search string) {
	require.NoError(t, call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}))
	open(t, ctx, storms)
	require.NoError(t, call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{}))
	assert.Len(t, column(t, ctx, "storms-2030-31", 0), 27)
	assert.Empty(t, ask[[]string](t, ctx, `[...document.querySelectorAll('button, select, input')].map(b => b.textContent)`))
	assert.Contains(t, ask[string](t, ctx, `document.querySelector('.minor-note').textContent`), "3 minor storms")
	require.NoError(t, call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}))
	open(t, ctx, search)
	require.NoError(t, call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{}))
	assert.Zero(t, ask[int](t, ctx, `document.getElementById('search').offsetHeight`))
}
