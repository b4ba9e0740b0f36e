package site

import (
	"html"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

// The comparison page ends with what it takes, as the night has it; without plans it says nothing of it.
func TestComparisonEndsWithWhatItTakes(t *testing.T) {
	data := madeDistrict()
	page := built(t, data)["comparison.html"]
	section := func(page, id string) string {
		_, rest, found := strings.Cut(page, `<section id="`+id)
		require.True(t, found, id)
		rest, _, _ = strings.Cut(rest, "</section>")
		return strings.ReplaceAll(html.UnescapeString(rest), "\u00a0", " ")
	}
	text := section(page, "plan")
	assert.Contains(t, text, "With these 3 acetate and 7 chloride routes: 6 storms more tell 15 %; 10 % cannot be told by 250 storms. "+
		"Each in 80 of 100 cases where pounds are truly alike; roads decide first.")
	assert.Contains(t, text, "route 0.21, acetate route 0.06, storm class 0.05, residual 0.20, season 0.03, district 0.05; "+
		"assumed: district; season.")
	assert.Equal(t, [][]string{
		{"half-season crossover", "10", "72", "53", "53", "4", "9", "6"},
		{"one winter before", "15", "72", "53", "6", "4", "9", "6"},
		{"one winter before", "10", "12", "–", "–", "4", "9", "6"},
	}, parsedTable(t, page, "plans-table"))
	assert.NotContains(t, section(page, "season-2030-31"), "To tell the material from the road")

	data.Plans[1].StormsMore = new(int64(0))
	data.RouteSwitches = []rows.RouteSwitch{{RouteID: "R01", Storms: 5}, {RouteID: "R09", IsAcetate: true, Storms: 1}}
	page = built(t, data)["comparison.html"]
	assert.Contains(t, section(page, "season-2030-31"), "To tell the material from the road, two routes need 5 storms "+
		"on each material, where local policy and licensed practice allow it: R01 on chloride in 5 storms more; R09 on "+
		"acetate in 1 storm more.")
	assert.Contains(t, section(page, "plan"), "the storms so far suffice for 15 %; 10 % cannot be told by 250 storms; a winter with all "+
		"routes on one material still to come among them.")

	data.Plans = nil
	assert.False(t, strings.Contains(built(t, data)["comparison.html"], "plans-table"))
}
