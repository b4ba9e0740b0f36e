package site

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/words"
)

// printed prints a page on a paper and gives the text of its PDF and the number of its pages.
func printed(t *testing.T, ctx context.Context, path string, paper chromedp.PaperSize) (text, pages string) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(fileURL(path))))
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFPreferCSSPageSize()))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, pdf, 0o644))
	info, err := exec.Command("pdfinfo", file).Output()
	require.NoError(t, err, "pdfinfo: apt-get install poppler-utils")
	pages = regexp.MustCompile(`Pages:\s+(\d+)`).FindStringSubmatch(string(info))[1]
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	require.NoError(t, err)
	return string(out), pages
}

// numbersIn lists the texts of a page's number cells.
func numbersIn(t *testing.T, path string) []string {
	t.Helper()
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	var numbers []string
	for _, m := range regexp.MustCompile(`<td class="number"[^>]*>(?:<bdi>)?([^<]*)<`).FindAllStringSubmatch(string(content), -1) {
		numbers = append(numbers, m[1])
	}
	return numbers
}

// crowded is the made district with 9 more zones and 60 more routes in its latest storm.
func crowded() *book.Data {
	data := madeDistrict()
	last := data.Storms[len(data.Storms)-1]
	for i := range 9 {
		zone := last
		zone.ZoneID = fmt.Sprintf("Z%d", i)
		data.Zones = append(data.Zones, rows.Zone{ZoneID: zone.ZoneID, Name: longName, DistrictID: "d1"})
		data.Storms = append(data.Storms, zone)
	}
	for i := range 60 {
		id := fmt.Sprintf("X%02d", i)
		data.Routes = append(data.Routes, rows.Route{RouteID: id, Name: longName, ZoneID: fmt.Sprintf("Z%d", i%9), LaneMiles: new(10.0),
			BridgeLaneMiles: new(1.0)})
		data.StormRoutes = append(data.StormRoutes,
			rows.StormRoute{Season: last.Season, StormID: last.StormID, ZoneID: fmt.Sprintf("Z%d", i%9), RouteID: id,
				MaterialClass: rows.Acetate, Form: rows.Solid, RouteLaneMiles: new(10.0),
				TreatedLaneMiles: new(20.0), MeasuredLaneMiles: new(20.0), AppliedLb: new(6000.0), RateLbPerLaneMi: new(300.0),
				Applications: new(2.0), RegainState: "not bare", CappedRegainH: new(24.0), IsBareInCap: new(false)})
		data.CrewStorms = append(data.CrewStorms, rows.CrewStorm{Season: last.Season, StormID: last.StormID, CrewID: "C1", RouteID: id,
			MaterialClass: rows.Acetate, Form: rows.Solid, RateLbPerLaneMi: new(300.0)})
	}
	return tallied(data)
}

func TestSheetsPrintOnOnePage(t *testing.T) {
	ctx := newBrowser(t)
	for name, data := range map[string]*book.Data{"usual": madeDistrict(), "crowded": crowded()} {
		dir := t.TempDir()
		require.NoError(t, Build(dir, data))
		latest := data.Storms[len(data.Storms)-1].StormID
		crews, err := filepath.Glob(filepath.Join(dir, "crews", "*-sheet.html"))
		require.NoError(t, err)
		require.NotEmpty(t, crews)
		for _, path := range []string{filepath.Join(dir, filepath.FromSlash(pages.StormSheetFile(latest))), crews[0]} {
			numbers := numbersIn(t, path)
			require.Greater(t, len(numbers), 20, path)
			for paperName, paper := range map[string]chromedp.PaperSize{"Letter": chromedp.PaperLetter, "A4": chromedp.PaperA4} {
				text, pages := printed(t, ctx, path, paper)
				assert.Equal(t, "1", pages, "%s: %s on %s", name, filepath.Base(path), paperName)
				fields := strings.Fields(text)
				for _, number := range numbers {
					for _, part := range strings.Fields(number) {
						assert.Contains(t, fields, part, "%s: %s on %s", name, filepath.Base(path), paperName)
					}
				}
				assert.Contains(t, text, "Local policy and licensed practice decide.")
				assert.NotContains(t, text, "Skip to the page")
				assert.NotContains(t, text, "The storm's page", "links are hidden on paper")
			}
		}
	}
}

// A long table's head stands on every sheet that the table runs over, and no heading or head is left behind by its rows.
func TestLongTablesPrintTheirHeadsOnEverySheet(t *testing.T) {
	dir := builtWith(t, madeSeasons(60))
	ctx := newBrowser(t)
	text, _ := printed(t, ctx, filepath.Join(dir, "storms.html"), chromedp.PaperLetter)
	sheets := 0
	for _, sheet := range strings.Split(text, "\f") {
		first := regexp.MustCompile(`(?m)^ *d\d-20\d{6}`).FindStringIndex(sheet)
		if first == nil {
			assert.NotContains(t, sheet, "Began", "a head without rows")
			continue
		}
		sheets++
		assert.Contains(t, sheet[:first[0]], "Began", "rows without a head:\n%s", sheet)
		assert.NotRegexp(t, `Began[^\n]*\n(\s|h|in|°F|zone|per|lb|lane-mile|route|[a-z ])*$`, sheet, "a head at the foot of a sheet")
	}
	assert.Greater(t, sheets, 2)
}

// A table that is wider than the paper makes the browser shrink the whole page.
func TestTablesFitThePaper(t *testing.T) {
	dir := builtSite(t)
	ctx := newBrowser(t)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(740, 900))) // Letter within the margins of sheet.css
	require.NoError(t, call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}))
	pages, err := filepath.Glob(filepath.Join(dir, "*.html"))
	require.NoError(t, err)
	for _, kind := range []string{"storms", "routes", "crews", "seasons"} {
		some, err := filepath.Glob(filepath.Join(dir, kind, "*.html"))
		require.NoError(t, err)
		require.NotEmpty(t, some, kind)
		pages = append(pages, some[len(some)-1])
	}
	for _, path := range pages {
		require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(fileURL(path))))
		wide, err := chromedp.Run(ctx, chromedp.Evaluate[string](
			`[...document.querySelectorAll('table')].filter(t => t.offsetWidth > 1.06 * t.parentNode.clientWidth).map(t => t.id + ' ' `+
				`+ t.offsetWidth + ' of ' + t.parentNode.clientWidth).join()`))
		require.NoError(t, err)
		assert.Empty(t, wide, path)
	}
}

// Talk points come from the weather and the timing of the routes: a crew that spread twice as much gets the same.
func TestTalkPointsDoNotKnowTheCrewsRates(t *testing.T) {
	points := func(data *book.Data) []string {
		b, err := book.NewBook(data)
		require.NoError(t, err)
		return pages.TalkPointsOf(b, "C1", pages.RoutesInSeason(b, "C1", b.LatestSeason()), b.LatestSeason())
	}
	data := madeDistrict()
	before := points(data)
	require.Len(t, before, pages.TalkPoints)
	for i := range data.CrewStorms {
		if rate := data.CrewStorms[i].RateLbPerLaneMi; rate != nil {
			data.CrewStorms[i].RateLbPerLaneMi = new(*rate * 2)
		}
	}
	for i := range data.LearningResiduals {
		data.LearningResiduals[i] = rows.LearningResidual{}
	}
	assert.Equal(t, before, points(data))
}

func TestTalkPointsSpeakOfTheRoutes(t *testing.T) {
	b, err := book.NewBook(&book.Data{TimeZone: "UTC",
		Routes: []rows.Route{{RouteID: "R1", ZoneID: "A", BridgeLaneMiles: new(2.0)}, {RouteID: "R2", ZoneID: "B"}},
		Storms: []rows.Storm{{Season: "s", StormID: "x", ZoneID: "A", FreezingH: new(2.5)},
			{Season: "s", StormID: "x", ZoneID: "B", FreezingH: new(9.0)}},
		CrewFreezing: []rows.CrewFreezing{{Season: "s", CrewID: "C1", Storms: 1, Hours: 2.5}},
		TimingTalk: []rows.TimingTalk{{Season: "s", StormID: "x", RouteID: "R1", Kind: "wind", Reason: "Wind."},
			{Season: "s", StormID: "x", RouteID: "R2", Kind: "cold", Reason: "Cold."}}})
	require.NoError(t, err)
	assert.Equal(t, []string{words.Say(us, "timing", "wind", 1, "Wind."), words.Say(us, "freezing", 1, 2.5), words.Say(us, "decks", 1)},
		pages.TalkPointsOf(b, "C1", []string{"R1"}, "s"))
	assert.Equal(t, words.AlwaysPoints[:3], pages.TalkPointsOf(b, "C2", nil, "s"))
}

func TestSheetSentences(t *testing.T) {
	assert.Empty(t, words.Say(us, "more rows", 0))
	assert.Equal(t, "1 more row did not fit on this page; the pages on screen have them all.", words.Say(us, "more rows", 1))
	assert.Equal(t, "2 more zones did not fit on this page; the storm's page on screen has them all.", words.Say(us, "more zones", 2))
	assert.Equal(t, "No route of this crew was treated in a storm of the season yet; the data reaches now.",
		words.Say(us, "crew sheet", "2030-31", 0, "now"))
	assert.Equal(t, "The 2 routes on which this crew treated in the 2030-31 season: totals of the routes, whoever treated them; the "+
		"data reaches now.", words.Say(us, "crew sheet", "2030-31", 2, "now"))
	assert.Equal(t, "no other crew", words.Say(us, "shared with", 0))
	assert.Equal(t, "1 other crew", words.Say(us, "shared with", 1))
	assert.Equal(t, "3 of these routes have bridge decks: they cool from above and below and freeze before the road beside them.",
		words.Say(us, "decks", 3))
	assert.Equal(t, "Freezing rain fell in 1 storm here, 2.5 h in all: treat early, come back sooner, and never save material on ice.",
		words.Say(us, "freezing", 1, 2.5))
	assert.Equal(t, []string{"No road state was reported after the storms of these routes, so what went well on the road cannot be told."},
		words.WentWellSentences(us, rows.Tally{}, "", nil, 2))
	assert.Equal(t, []string{"The road came bare after 3 of 4 route-storms with reports, on average 2.0 h after the storm's " +
		"end, capped at 24 h.",
		"Soonest bare on average: R1, after 1.5 h, capped at 24 h.",
		"Not reported bare in time: 1 route-storm; cold, wind and traffic take part in that."},
		words.WentWellSentences(us, rows.Tally{Bare: 3, NotBare: 1, RegainH: new(2.0)}, "R1", new(1.5), 2))
}
