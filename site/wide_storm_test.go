package site

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// widened adds zones without routes to the first storm of a made district until it is on as many as are asked for.
func widened(zones int) (data *book.Data, stormID string) {
	data = madeDistrict()
	first := data.Storms[0]
	for n := 3; n < zones; n++ {
		row := first
		row.ZoneID = fmt.Sprintf("far/%d", n) // a name that no file may have as it is
		data.Zones = append(data.Zones, rows.Zone{ZoneID: row.ZoneID, Name: fmt.Sprintf("Far %d", n), DistrictID: "d1"})
		data.Storms = append(data.Storms, row)
	}
	return data, first.StormID
}

func TestAStormOnFewZonesHasOnePage(t *testing.T) {
	data, id := widened(book.MostZonesOnPage)
	files := built(t, data)
	assert.Equal(t, book.MostZonesOnPage, strings.Count(files["storms/"+format.FileName(id)+".html"], `<section id="zone-`))
	for name := range files {
		assert.NotContains(t, name, "-zone-")
	}
}

func TestAStormOnManyZonesHasAPageForEach(t *testing.T) {
	data, id := widened(book.MostZonesOnPage + 1)
	files := built(t, data)
	whole := files["storms/"+format.FileName(id)+".html"]
	require.NotEmpty(t, whole)
	assert.NotContains(t, whole, `<section id="zone-`)
	for _, zone := range data.Storms {
		if zone.StormID != id {
			continue
		}
		name := format.FileName(id) + "-zone-" + format.FileName(zone.ZoneID) + ".html"
		page := files["storms/"+name]
		require.NotEmpty(t, page, name)
		assert.Contains(t, whole, `href="../storms/`+name+`"`)
		assert.Equal(t, 1, strings.Count(page, `<section id="zone-`), name)
		assert.Contains(t, page, `href="../storms/`+format.FileName(id)+`.html"`, name)
		passes := 0
		for _, pass := range data.StormPasses {
			if pass.StormID == id && pass.ZoneID == zone.ZoneID {
				passes++
			}
		}
		assert.Equal(t, passes, strings.Count(page, `class="pass `), "%s: a bar for each pass of the zone", name)
		assert.Contains(t, page, zoneLead(data, id, zone.ZoneID), name)
		_, loaded := weightOf(t, files, "storms/"+name) // which asks that all it loads is there
		assert.NotEmpty(t, loaded, name)
	}
}

// zoneLead is what a zone's page says of acetate, summed here over the rows of the data.
func zoneLead(data *book.Data, stormID, zoneID string) string {
	pounds, laneMiles, routes := 0.0, 0.0, 0
	for _, r := range data.StormRoutes {
		if r.StormID == stormID && r.ZoneID == zoneID && r.MaterialClass == rows.Acetate && r.Form == rows.Solid {
			routes++
			pounds += rows.OrZero(r.AppliedLb) - rows.OrZero(r.UnplacedLb)
			laneMiles += rows.OrZero(r.MeasuredLaneMiles)
		}
	}
	if routes == 0 {
		return "no solid acetate reported"
	}
	return fmt.Sprintf("acetate %.0f lb per lane-mile", pounds/laneMiles)
}
