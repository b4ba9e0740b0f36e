package site

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// addMinorStorms adds n storms of the latest season without passes and with 0.004 in of water.
func addMinorStorms(data *Data, n int) {
	for i := range n {
		begin := time.Date(2030, 11, 2+2*i, 9, 0, 0, 0, time.UTC)
		data.Storms = append(data.Storms, Storm{Season: "2030-31", StormID: "d1-2030110" + strconv.Itoa(2+2*i), DistrictID: "d1", ZoneID: "A", BeganAt: begin, EndedAt: begin.Add(3 * time.Hour),
			Kind: "snow", Hours: new(3.0), PrecipIn: new(0.004), AirFMean: new(30.0), SurfaceFMin: new(29.0)})
	}
}

func TestIsMinor(t *testing.T) {
	b := &book{passesByStorm: map[stormZone][]StormPass{{"passed", "A"}: {{}}}, rowsByStorm: map[string][]StormRoute{"routed": {{}}}}
	zone := func(id string, water *float64) Storm { return Storm{ZoneID: id, PrecipIn: water} }
	for name, c := range map[string]struct {
		e    event
		want bool
	}{
		"no pass, trace":           {event{ID: "s", Zones: []Storm{zone("A", new(0.0))}}, true},
		"just under":               {event{ID: "s", Zones: []Storm{zone("A", new(0.0099))}}, true},
		"just enough":              {event{ID: "s", Zones: []Storm{zone("A", new(0.01))}}, false},
		"enough in one zone":       {event{ID: "s", Zones: []Storm{zone("A", new(0.0)), zone("B", new(0.2))}}, false},
		"one zone without amounts": {event{ID: "s", Zones: []Storm{zone("A", new(0.0)), zone("B", nil)}}, true},
		"no amounts at all":        {event{ID: "s", Zones: []Storm{zone("A", nil)}}, false},
		"a pass":                   {event{ID: "passed", Zones: []Storm{zone("A", new(0.0))}}, false},
		"a route's row":            {event{ID: "routed", Zones: []Storm{zone("A", new(0.0))}}, false},
		"still open":               {event{ID: "s", IsOpen: true, Zones: []Storm{zone("A", new(0.0))}}, false},
	} {
		assert.Equal(t, c.want, b.isMinor(c.e), name)
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
	require.Contains(t, files, "storms/"+FileName("d1-20301102")+".html")
}
