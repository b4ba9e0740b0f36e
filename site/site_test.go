package site

import (
	"html"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/pages"
	"lanetally/site/table"
	"lanetally/site/words"
)

// readFiles reads every file below dir, by its path.
func readFiles(dir string) (map[string]string, error) {
	files := map[string]string{}
	return files, filepath.WalkDir(dir, func(path string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		files[filepath.ToSlash(name)] = string(text)
		return err
	})
}

// Build writes all pages, with their styles and scripts, into dir, which it creates.
func Build(dir string, data *book.Data) error {
	return Write(data, func(name string, content []byte) error {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		return os.WriteFile(path, content, 0o644)
	})
}

func built(t *testing.T, data *book.Data) map[string]string {
	dir := t.TempDir()
	require.NoError(t, Build(dir, data))
	files, err := readFiles(dir)
	require.NoError(t, err)
	return files
}

// madePages are the made district's pages, built once for the tests that only read them.
var madePages = sync.OnceValues(func() (map[string]string, error) {
	dir, err := os.MkdirTemp("", "made-pages-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if err := Build(dir, madeDistrict()); err != nil {
		return nil, err
	}
	return readFiles(dir)
})

func made(t *testing.T) map[string]string {
	files, err := madePages()
	require.NoError(t, err)
	return files
}

func shuffle[T any](rng *rand.Rand, list []T) {
	rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

func TestTheSameRowsInAnyOrderGiveTheSameBytes(t *testing.T) {
	first := made(t)
	data, rng := madeDistrict(), rand.New(rand.NewPCG(3, 5))
	shuffle(rng, data.Storms)
	shuffle(rng, data.StormRoutes)
	shuffle(rng, data.StormPasses)
	shuffle(rng, data.CrewStorms)
	shuffle(rng, data.Coverage)
	shuffle(rng, data.Bridges)
	shuffle(rng, data.Tallies)
	shuffle(rng, data.SeasonDates)
	shuffle(rng, data.Observations)
	shuffle(rng, data.Findings)
	shuffle(rng, data.Quarantine)
	shuffle(rng, data.Intake)
	shuffle(rng, data.PositionTrucks)
	shuffle(rng, data.SetAside)
	shuffle(rng, data.SetAsideTrucks)
	shuffle(rng, data.Routes)
	shuffle(rng, data.Crews)
	shuffle(rng, data.Orders)
	shuffle(rng, data.Learning)
	shuffle(rng, data.LearningCurves)
	shuffle(rng, data.LearningResiduals)
	shuffle(rng, data.LearningFits)
	shuffle(rng, data.LearningLeftOut)
	shuffle(rng, data.Comparison)
	shuffle(rng, data.UsedRates)
	shuffle(rng, data.WeatherEvents)
	shuffle(rng, data.SeverityClasses)
	shuffle(rng, data.StormCounts)
	shuffle(rng, data.FrostSums)
	shuffle(rng, data.Reconciliation)
	shuffle(rng, data.StormRoutesCorrected)
	shuffle(rng, data.LearningBases)
	shuffle(rng, data.StockBook)
	shuffle(rng, data.StockOnHand)
	shuffle(rng, data.StockOutlook)
	shuffle(rng, data.StockFan)
	shuffle(rng, data.Prices)
	shuffle(rng, data.CostSums)
	shuffle(rng, data.WholeSeasons)
	shuffle(rng, data.SeasonCosts)
	shuffle(rng, data.DamageAssumptions)
	shuffle(rng, data.BreakEven)
	shuffle(rng, data.WatershedStorms)
	shuffle(rng, data.WatershedSeasons)
	shuffle(rng, data.TimingTalk)
	second := built(t, data)
	require.Len(t, second, len(first))
	for name, text := range first {
		assert.Equal(t, text, second[name], "%s differs", name)
	}
}

var hrefs = regexp.MustCompile(`(?:href|src)="([^"]*)"`)

// Every link leads to a file of the folder, to a place on a page, or to a published download.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	data, files := madeDistrict(), made(t)
	links := 0
	for name, text := range files {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		for _, match := range hrefs.FindAllStringSubmatch(text, -1) {
			target, place, _ := strings.Cut(html.UnescapeString(match[1]), "#")
			if target == "data:," {
				continue
			}
			links++
			path := name
			if target != "" {
				path = filepath.ToSlash(filepath.Join(filepath.Dir(name), target))
			}
			if strings.HasPrefix(path, "data/") {
				assert.Contains(t, data.Downloads, strings.TrimPrefix(path, "data/"), name)
				continue
			}
			page, found := files[path]
			assert.True(t, found, "%s links to %s", name, match[1])
			if place != "" {
				assert.Contains(t, page, `id="`+place+`"`, "%s links to %s", name, match[1])
			}
		}
	}
	assert.Greater(t, links, 1000)
}

func TestADistrictWithNothingHasPages(t *testing.T) {
	files := built(t, &book.Data{District: "Empty", TimeZone: "UTC", CrewPages: rows.CrewPagesAll})
	for _, name := range []string{"index.html", "learning.html", "comparison.html", "storms.html", "routes.html", "crews.html",
		"material.html", "stock.html", "cost.html", "data.html", "methods.html"} {
		assert.Contains(t, files[name], `<p class="lead">`, name)
		assert.NotContains(t, files[name], "NaN", name)
	}
	assert.Contains(t, files["index.html"], "No data has been loaded yet")
	assert.NotContains(t, files["index.html"], "echarts.min.js")
}

// TestAProgramWithoutTheChartScriptSaysSo: each chart gives way to a sentence, nothing loads what is not there, and all else stays.
func TestAProgramWithoutTheChartScriptSaysSo(t *testing.T) {
	require.True(t, HasCharts(), "make setup")
	bare := fstest.MapFS{}
	require.NoError(t, fs.WalkDir(assets, "assets", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() && !strings.Contains(name, "/vendor/") {
			content, err := assets.ReadFile(name)
			bare[name] = &fstest.MapFile{Data: content}
			return err
		}
		return err
	}))
	charts, files := 0, map[string]string{}
	require.NoError(t, writeWith(bare, madeDistrict(), func(name string, content []byte) error {
		files[name] = string(content)
		return nil
	}))
	for name, page := range made(t) {
		if strings.HasPrefix(name, "assets/vendor/") {
			assert.NotContains(t, files, name)
			continue
		}
		drawn := strings.Count(page, `<figure class="chart-figure">`)
		charts += drawn
		assert.Equal(t, drawn, strings.Count(files[name], "No chart here: the program was built before <code>make setup</code>"), name)
		if strings.HasSuffix(name, ".html") {
			assert.NotContains(t, files[name], "echarts", name)
		}
		assert.NotContains(t, files[name], `<figure class="chart-figure">`, name)
		if drawn == 0 {
			assert.Equal(t, page, files[name], name)
		}
	}
	assert.GreaterOrEqual(t, charts, 3, "the season's and the routes'")
}

func TestOneStormWithoutPassesOrWeatherHasAPage(t *testing.T) {
	whole := madeDistrict()
	data := &book.Data{District: "One", TimeZone: "America/Chicago", AsOf: whole.AsOf, Storms: whole.Storms[:1]}
	files := built(t, data)
	text := files["storms/"+format.FileName(data.Storms[0].StormID)+".html"]
	assert.Contains(t, text, "no solid acetate reported; no solid chloride reported")
	assert.Contains(t, text, "no pass reported")
	assert.Contains(t, text, "no reports")
	assert.Contains(t, files["index.html"], "over 1 closed storm;")
	assert.Contains(t, files["index.html"], "It cannot be told whether the 2029-30 season is on course; the data reaches")
	assert.Contains(t, files["index.html"], "Nothing can be claimed before acetate has been spread in a closed storm.")
}

func TestAnUnknownTimeZoneIsAnError(t *testing.T) {
	assert.ErrorContains(t, Build(t.TempDir(), &book.Data{TimeZone: "Nowhere/Else"}), "Nowhere/Else")
}

func TestAQueryNameCannotLeaveTheFolder(t *testing.T) {
	assert.ErrorContains(t, Build(t.TempDir(), &book.Data{TimeZone: "UTC", Queries: []book.Query{{Name: "../x.sql", Text: ""}}}),
		"../x.sql")
}

func TestCrewLabelsShowOnlyWhereTheDistrictSaysSo(t *testing.T) {
	data := madeDistrict()
	assert.Contains(t, made(t)["crews.html"], "North garage")
	data.CrewLabels = false
	for name, text := range built(t, data) {
		assert.NotContains(t, text, "North garage", name)
	}
}

func TestNoFindingIsAboutACrew(t *testing.T) {
	for name, text := range made(t) {
		assert.NotContains(t, strings.ToLower(text), "slow crew", name)
	}
}

func TestAttentionHasAtMostSevenLines(t *testing.T) {
	data := madeDistrict()
	for _, code := range []string{"no_weather", "weather_not_read", "weak_passes", "zone_without_station", "route_without_line"} {
		data.Findings = append(data.Findings, rows.FindingRow{Finding: rows.Finding{Code: code}, SubjectKind: "truck", SubjectID: "T1"})
	}
	b, err := book.NewBook(data)
	require.NoError(t, err)
	s := pages.AttentionSection(b, "2030-31", "")
	require.Len(t, s.Tables, 1)
	require.Len(t, s.Tables[0].Rows, pages.MostFindings)
	assert.Equal(t, "No log", s.Tables[0].Rows[0].Cells[0].Text, "missing logs come first")
}

// Crews stand in the order of their ids on every list, whatever they put down.
func TestCrewsAreListedByID(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	rows := pages.CrewsPage(b).Sections[0].Tables[0].Rows
	require.Len(t, rows, 6)
	for i, row := range rows {
		assert.True(t, strings.HasPrefix(row.Cells[0].Text, "C"+strconv.Itoa(i+1)))
	}
}

// Pounds never stand without road state and temperature in the same row.
func TestEveryTableWithRatesHasRoadStateAndTemperature(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	season, err := pages.SeasonPage(b, "2030-31", "")
	require.NoError(t, err)
	route, err := pages.RoutePage(b, b.RouteList[3])
	require.NoError(t, err)
	tables := 0
	for _, p := range []table.Page{season, route, pages.StormsPage(b), pages.StormPage(b, b.Events[5]), pages.RoutesPage(b),
		pages.CrewPage(b, b.CrewList[0]), pages.LearningPage(b), pages.ComparisonPage(b), pages.MaterialPage(b), pages.StockPage(b),
		pages.CostPage(b)} {
		for _, s := range p.Sections {
			for _, table := range s.Tables {
				heads := ""
				for _, column := range table.Columns {
					heads += column.Head + "|"
				}
				if strings.Contains(strings.ToLower(heads), "rate|") {
					tables++
					assert.Contains(t, strings.ToLower(heads), "bare", table.ID)
					assert.Contains(t, heads, "Mean air", table.ID)
				}
			}
		}
	}
	assert.GreaterOrEqual(t, tables, 8)
}

func TestEveryRowHasACellForEachColumn(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	season, err := pages.SeasonPage(b, "2030-31", "")
	require.NoError(t, err)
	route, err := pages.RoutePage(b, b.RouteList[0])
	require.NoError(t, err)
	checked := 0
	for _, p := range []table.Page{season, route, pages.StormsPage(b), pages.StormPage(b, b.Events[5]), pages.RoutesPage(b),
		pages.CrewsPage(b), pages.CrewPage(b, b.CrewList[0]), pages.DataPage(b), pages.MethodsPage(b), pages.LearningPage(b),
		pages.ComparisonPage(b), pages.MaterialPage(b), pages.StockPage(b), pages.CostPage(b)} {
		for _, s := range p.Sections {
			for _, table := range s.Tables {
				for _, row := range table.Rows {
					checked++
					require.Len(t, row.Cells, len(table.Columns), table.ID)
				}
			}
		}
	}
	assert.Greater(t, checked, 200)
}

func TestEveryPageHasThePolicyAndTheCaution(t *testing.T) {
	for name, text := range made(t) {
		if strings.HasSuffix(name, ".html") {
			assert.Contains(t, html.UnescapeString(text), policy, name)
			assert.Contains(t, text, words.Say(us, "caution"), name)
			assert.NotContains(t, text, "<script>", name)
		}
	}
}

var colourLine = regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{6}|[0-9a-f]{3})\b`)

// luminance is the relative luminance of WCAG 2.2 (definition of relative luminance).
func luminance(t *testing.T, hex string) float64 {
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// Contrast by WCAG 2.2: 4.5 to 1 for text (1.4.3), 3 to 1 for marks and lines that carry meaning (1.4.11).
func TestColoursHaveContrast(t *testing.T) {
	style, err := assets.ReadFile("assets/site.css")
	require.NoError(t, err)
	blocks := strings.SplitN(string(style), "prefers-color-scheme: dark", 2)
	require.Len(t, blocks, 2)
	dark, _, _ := strings.Cut(blocks[1], "* {")
	for scheme, block := range map[string]string{"light": blocks[0], "dark": dark} {
		colours := map[string]string{}
		for _, match := range colourLine.FindAllStringSubmatch(block, -1) {
			colours[match[1]] = match[2]
		}
		contrast := func(a, b string) float64 {
			high, low := luminance(t, colours[a]), luminance(t, colours[b])
			return (math.Max(high, low) + 0.05) / (math.Min(high, low) + 0.05)
		}
		for _, ground := range []string{"paper", "panel", "warn", "storm"} {
			for _, text := range []string{"ink", "ink-soft", "link"} {
				assert.GreaterOrEqual(t, contrast(text, ground), 4.5, "%s: %s on %s", scheme, text, ground)
			}
		}
		for _, mark := range []string{"acetate", "chloride", "abrasive", "water", "focus"} {
			assert.GreaterOrEqual(t, contrast(mark, "paper"), 3.0, "%s: %s", scheme, mark)
		}
	}
}

var ids = regexp.MustCompile(` id="([^"]*)"`)

func TestNoPageUsesAnIDTwice(t *testing.T) {
	for name, text := range made(t) {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		seen := map[string]bool{}
		for _, match := range ids.FindAllStringSubmatch(text, -1) {
			assert.False(t, seen[match[1]], "%s: id %s", name, match[1])
			seen[match[1]] = true
		}
		assert.Contains(t, seen, "main", name)
	}
}
