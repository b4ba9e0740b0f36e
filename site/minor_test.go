package site

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// addMinorStorms adds n storms of the latest season without passes and with 0.004 in of water.
func addMinorStorms(data *book.Data, n int) {
	for i := range n {
		begin := time.Date(2030, 11, 2+2*i, 9, 0, 0, 0, time.UTC)
		data.Storms = append(data.Storms, rows.Storm{Season: "2030-31", StormID: "d1-2030110" + strconv.Itoa(2+2*i), DistrictID: "d1",
			ZoneID: "A", BeganAt: begin, EndedAt: begin.Add(3 * time.Hour),
			Kind: "snow", Hours: new(3.0), PrecipIn: new(0.004), AirFMean: new(30.0), SurfaceFMin: new(29.0)})
	}
}

func TestIsMinor(t *testing.T) {
	b := &book.Book{PassesByStorm: map[book.StormZone][]rows.StormPass{{StormID: "passed", ZoneID: "A"}: {{}}},
		RowsByStorm: map[string][]rows.StormRoute{"routed": {{}}}}
	zone := func(id string, water *float64) rows.Storm { return rows.Storm{ZoneID: id, PrecipIn: water} }
	for name, c := range map[string]struct {
		e    book.Event
		want bool
	}{
		"no pass, trace":           {book.Event{ID: "s", Zones: []rows.Storm{zone("A", new(0.0))}}, true},
		"just under":               {book.Event{ID: "s", Zones: []rows.Storm{zone("A", new(0.0099))}}, true},
		"just enough":              {book.Event{ID: "s", Zones: []rows.Storm{zone("A", new(0.01))}}, false},
		"enough in one zone":       {book.Event{ID: "s", Zones: []rows.Storm{zone("A", new(0.0)), zone("B", new(0.2))}}, false},
		"one zone without amounts": {book.Event{ID: "s", Zones: []rows.Storm{zone("A", new(0.0)), zone("B", nil)}}, true},
		"no amounts at all":        {book.Event{ID: "s", Zones: []rows.Storm{zone("A", nil)}}, false},
		"a pass":                   {book.Event{ID: "passed", Zones: []rows.Storm{zone("A", new(0.0))}}, false},
		"a route's row":            {book.Event{ID: "routed", Zones: []rows.Storm{zone("A", new(0.0))}}, false},
		"still open":               {book.Event{ID: "s", IsOpen: true, Zones: []rows.Storm{zone("A", new(0.0))}}, false},
	} {
		assert.Equal(t, c.want, b.IsMinor(c.e), name)
	}
}

func TestMinorStormsAreMarkedInListAndStrip(t *testing.T) {
	assert.NotContains(t, made(t)["storms.html"], "minor-note")
	data := madeDistrict()
	addMinorStorms(data, 3)
	files := built(t, data)
	assert.Equal(t, 3, strings.Count(files["storms.html"], "<tr data-minor>"))
	for _, name := range []string{"storms.html", "index.html"} {
		assert.Equal(t, 3, strings.Count(files[name], `<g class="minor">`), name)
		assert.Equal(t, 1, strings.Count(files[name], `<p class="minor-note" data-count="3">3 minor storms`), name)
	}
	require.Contains(t, files, "storms/"+format.FileName("d1-20301102")+".html")
}
