package pipeline

import (
	"encoding/csv"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/site/format"
)

var (
	pageHead = regexp.MustCompile(`(?s)<th scope="col"[^>]*>(.*?)</th>`)
	pageRow  = regexp.MustCompile(`(?s)<tr[^>]*>(<th scope="row".*?)</tr>`)
	pageCell = regexp.MustCompile(`(?s)<t[hd][^>]*>(.*?)</t[hd]>`)
	pageTag  = regexp.MustCompile(`(?s)<[^>]*>`)
)

func pageText(markup string) string {
	return strings.Join(strings.Fields(html.UnescapeString(pageTag.ReplaceAllString(markup, " "))), " ")
}

// shownRows reads a table of a published page: its rows by the texts of its heads, units included.
func (d demoNight) shownRows(t *testing.T, page, table string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(d.dir, "current", "public", filepath.FromSlash(page)))
	require.NoError(t, err)
	_, rest, found := strings.Cut(string(text), `<table id="`+table+`">`)
	require.True(t, found, "%s has no table %s", page, table)
	rest, _, _ = strings.Cut(rest, "</table>")
	heads := pageHead.FindAllStringSubmatch(rest, -1)
	var rows []map[string]string
	for _, row := range pageRow.FindAllStringSubmatch(rest, -1) {
		cells := pageCell.FindAllStringSubmatch(row[1], -1)
		require.Len(t, cells, len(heads))
		shown := map[string]string{}
		for i, cell := range cells {
			shown[pageText(heads[i][1])] = pageText(cell[1])
		}
		rows = append(rows, shown)
	}
	return rows
}

// checkShown asks that a shown number is the file's, rounded to its decimals; a dash is an empty field. Factor turns the file's unit into
// the shown one.
func checkShown(t *testing.T, shown, filed string, factor float64, where string) {
	t.Helper()
	if filed == "" {
		assert.Equal(t, "–", shown, where)
		return
	}
	if shown == "not shown: too few people" { // withheld of what is public; the files of data/ have it
		return
	}
	digits := strings.NewReplacer(",", "", "−", "-").Replace(shown)
	got, err := strconv.ParseFloat(digits, 64)
	if !assert.NoError(t, err, where) {
		return
	}
	decimals := 0
	if _, behind, hasPoint := strings.Cut(digits, "."); hasPoint {
		decimals = len(behind)
	}
	assert.LessOrEqual(t, math.Abs(got-number(t, filed)*factor), 0.5*math.Pow(10, -float64(decimals))+1e-9, "%s: %s shown, %s in the file",
		where, shown, filed)
}

// checkColumns checks a row's numbers; columns are the file's by the heads of the table.
func checkColumns(t *testing.T, shown, filed map[string]string, columns map[string]string, where string) {
	t.Helper()
	for head, column := range columns {
		text, isHead := shown[head]
		require.True(t, isHead, "%s: no column %q", where, head)
		require.Contains(t, filed, column, where)
		factor := 1.0
		if strings.HasSuffix(column, "_share") {
			factor = 100
		}
		checkShown(t, text, filed[column], factor, where+", "+head)
	}
}

// TestFiguresOnScreenEqualTheFiles parses three tables of the published pages and holds every number against the published CSV.
func TestFiguresOnScreenEqualTheFiles(t *testing.T) {
	d := runDemoNight(t)
	t.Run("storms.csv", d.checkZonesTables)
	t.Run("storm_routes.csv", d.checkRouteTables)
	t.Run("intake.csv", d.checkIntakeTable)
}

func (d demoNight) checkZonesTables(t *testing.T) {
	columns := map[string]string{"Length h": "hours", "Water in": "precip_in", "Mean air °F": "air_f_mean", "Lowest air °F": "air_f_min",
		"Lowest pavement °F": "surface_f_min",
		"Most wind mph":      "wind_mph_max", "Snow h": "snow_h", "Freezing rain h": "freezing_h", "Sleet h": "sleet_h",
		"Severity 0 to 1": "severity", "Severity the storm alone": "severity_storm"}
	byStorm, names := map[string][]map[string]string{}, map[string]string{}
	for _, row := range d.export(t, "storms") {
		byStorm[row["storm_id"]] = append(byStorm[row["storm_id"]], row)
	}
	zones, err := csv.NewReader(strings.NewReader(string(must(os.ReadFile(filepath.Join(d.dir, "reference", "zones.csv")))))).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"zone_id", "name"}, zones[0][:2])
	for _, row := range zones[1:] {
		names[row[0]] = row[1]
	}
	require.Greater(t, len(byStorm), 40)
	for id, filed := range byStorm {
		shown := d.shownRows(t, "storms/"+format.FileName(id)+".html", "zones-table")
		require.Len(t, shown, len(filed), id)
		byName := map[string]map[string]string{}
		for _, row := range shown {
			byName[row["Zone"]] = row
		}
		for _, row := range filed {
			require.Contains(t, byName, names[row["zone_id"]], id)
			checkColumns(t, byName[names[row["zone_id"]]], row, columns, id+" "+row["zone_id"])
		}
	}
}

func (d demoNight) checkRouteTables(t *testing.T) {
	columns := map[string]string{"Applications per route": "applications", "Per storm lb per lane-mile of route": "storm_lb_per_lane_mi",
		"Not placed lb": "unplaced_lb", "Prewet lb dry": "prewet_lb",
		"Chloride lb": "chloride_lb", "Treated lane-miles": "treated_lane_miles", "Covered %": "covered_share",
		"On cold pavement %": "cold_share", "In wind %": "wind_share"}
	byRoute := map[string][]map[string]string{}
	for _, row := range d.export(t, "storm_routes") {
		byRoute[row["route_id"]] = append(byRoute[row["route_id"]], row)
	}
	require.Greater(t, len(byRoute), 10)
	checked := 0
	for id, filed := range byRoute {
		byKey := map[string]map[string]string{}
		for _, row := range d.shownRows(t, "routes/"+format.FileName(id)+".html", "route-storms") {
			byKey[strings.TrimSuffix(row["Storm"], ", open")+" "+row["Material"]] = row
		}
		require.Len(t, byKey, len(filed), id)
		for _, row := range filed {
			key := row["storm_id"] + " plowed only"
			if row["material_class"] != "" {
				key = row["storm_id"] + " " + row["material_class"] + ", " + row["form"]
			}
			require.Contains(t, byKey, key, id)
			checkColumns(t, byKey[key], row, columns, id+" "+key)
			checked++
		}
	}
	assert.Greater(t, checked, 500)
}

func (d demoNight) checkIntakeTable(t *testing.T) {
	columns := map[string]string{"Read rows": "rows_read", "Counted rows": "accepted", "Duplicates rows": "duplicates",
		"Corrections rows": "corrections", "Set aside rows": "quarantined"}
	shown, filed := d.shownRows(t, "data.html", "intake-table"), d.export(t, "intake")
	require.Len(t, shown, len(filed))
	byFile := map[string]map[string]string{}
	for _, row := range shown {
		byFile[row["Feed"]+" "+row["Delivery"]] = row
	}
	for _, row := range filed {
		checkColumns(t, byFile[row["feed"]+" "+row["file"]], row, columns, row["file"])
	}
}
