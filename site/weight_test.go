package site

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"html"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/pages"
)

// Budgets, in bytes, of what a page loads; kB are thousands.
const (
	mostOfCrewPage    = 100_000
	mostOfSeasonPage  = 250_000 // besides the chart script
	mostOfChartScript = 200_000 // packed by gzip
)

var loads = regexp.MustCompile(`<(?:link|script|img)\b[^>]*\b(?:href|src)="([^"]*)"`)

// weightOf adds a page and all that it loads, and names what it loads.
func weightOf(t *testing.T, files map[string]string, name string) (bytes int, loaded []string) {
	bytes = len(files[name])
	require.NotZero(t, bytes, name)
	for _, match := range loads.FindAllStringSubmatch(files[name], -1) {
		target := html.UnescapeString(match[1])
		if strings.HasPrefix(target, "data:") {
			continue
		}
		path := filepath.ToSlash(filepath.Join(filepath.Dir(name), target))
		require.Contains(t, files, path, name)
		loaded = append(loaded, path)
		if path != chartScript {
			bytes += len(files[path])
		}
	}
	return bytes, loaded
}

func TestPagesAreLight(t *testing.T) {
	assert.NotRegexp(t, `url\(|@import`, made(t)["assets/site.css"], "a style that loads more is not weighed")
	for label, files := range map[string]map[string]string{"the made district": made(t),
		"60 storms, 14 routes, 6 crews": built(t, largeDistrict(14, 30)),
		"60 storms, 40 routes, 6 crews": built(t, largeDistrict(40, 30))} {
		crews, seasons := 0, 0
		for name := range files {
			switch {
			case strings.HasPrefix(name, "crews/"):
				crews++
				weight, loaded := weightOf(t, files, name)
				assert.LessOrEqual(t, weight, mostOfCrewPage, "%s: %s", label, name)
				assert.NotContains(t, loaded, chartScript, name)
			case name == "index.html" || strings.HasPrefix(name, "seasons/"):
				seasons++
				weight, _ := weightOf(t, files, name)
				assert.LessOrEqual(t, weight, mostOfSeasonPage, "%s: %s", label, name)
			}
		}
		assert.GreaterOrEqual(t, crews, 6, label)
		assert.GreaterOrEqual(t, seasons, 2, label)
	}
}

func TestTheChartScriptIsLight(t *testing.T) {
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	_, err := w.Write([]byte(made(t)[chartScript]))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	assert.Greater(t, packed.Len(), 50_000)
	assert.LessOrEqual(t, packed.Len(), mostOfChartScript)
}

// largeDistrict is two seasons of so many storms each, on so many routes.
func largeDistrict(routes, storms int) *book.Data {
	m := newMaker()
	m.places()
	for i := len(m.data.Routes); i < routes; i++ {
		id, class := fmt.Sprintf("X%04d", i), rows.Chloride
		if i%4 == 0 {
			class = rows.Acetate
		}
		m.data.Routes = append(m.data.Routes, rows.Route{RouteID: id, Name: "Road " + id, ZoneID: string(rune('A' + i%3)),
			LaneMiles: new(8 + float64(i*3%17)), Watershed: "upper"})
		m.data.Assignments = append(m.data.Assignments,
			rows.Assignment{RouteID: id, FromDate: m.data.Assignments[0].FromDate, ToDate: nil, MaterialClass: class,
				CrewID: fmt.Sprintf("C%d", i%6+1)})
	}
	m.seasons(storms)
	return m.data
}

// render writes all pages to nowhere and tells how many there were.
func render(data *book.Data) (pages int, err error) {
	err = Write(data, func(name string, _ []byte) error {
		if strings.HasSuffix(name, ".html") {
			pages++
		}
		return nil
	})
	return pages, err
}

// worked is the processor time that this process has used: on a quiet machine no less than what the clock shows, and the
// same on a busy one.
func worked(t testing.TB) time.Duration {
	var usage syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &usage))
	return time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

// Limits of time for all pages of a district.
const (
	mostTimeOfSmall = 3 * time.Second
	mostTimeOfLarge = 60 * time.Second
)

func TestADistrictOfUsualSizeRendersSoon(t *testing.T) {
	data := largeDistrict(14, 30)
	began := worked(t)
	pages, err := render(data)
	require.NoError(t, err)
	assert.Less(t, worked(t)-began, mostTimeOfSmall)
	assert.Equal(t, 12+1+2*60+14+2*6, pages)
}

func benchmarkRender(b *testing.B, data *book.Data, most time.Duration) {
	for b.Loop() {
		began := worked(b)
		pages, err := render(data)
		require.NoError(b, err)
		took := worked(b) - began
		if took > most {
			b.Fatalf("%d pages took %s; at most %s", pages, took, most)
		}
		b.ReportMetric(float64(pages), "pages")
		b.ReportMetric(took.Seconds(), "s-worked")
	}
}

func BenchmarkRenderUsualDistrict(b *testing.B) {
	benchmarkRender(b, largeDistrict(14, 30), mostTimeOfSmall)
}

func BenchmarkRenderLargeDistrict(b *testing.B) {
	benchmarkRender(b, largeDistrict(1000, 30), mostTimeOfLarge)
}

func TestACrewPageShowsWholeStorms(t *testing.T) {
	rows := func(counts ...int) (list []rows.CrewStorm) {
		for storm, n := range counts {
			for range n {
				list = append(list, rows.CrewStorm{StormID: fmt.Sprint(storm)})
			}
		}
		return list
	}
	for _, c := range []struct {
		counts []int
		shown  int
	}{{nil, 0}, {[]int{1}, 1}, {[]int{90}, 90}, {[]int{5, 90}, 90}, {[]int{40, 40}, 80}, {[]int{40, 41}, 41}, {[]int{1, 40, 40}, 80},
		{[]int{2, 40, 39}, 79}, {[]int{1, 40, 39}, 80}} {
		assert.Len(t, pages.LatestStorms(rows(c.counts...)), c.shown, c.counts)
	}
}
