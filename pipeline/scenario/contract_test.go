package scenario_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lightCheck is a second, independent reading of the feeds' contract. It says why a row cannot be used, or nothing.
type lightCheck struct {
	trucks, crews, routes, materials, stations map[string]row
}

func newLightCheck(t *testing.T) lightCheck {
	return lightCheck{trucks: keys(t, "trucks.csv", "truck_id"), crews: keys(t, "crews.csv", "crew_id"),
		routes:    keys(t, "routes.csv", "route_id"),
		materials: keys(t, "materials.csv", "material_id"), stations: keys(t, "stations.csv", "station_id")}
}

func (c lightCheck) why(r row) string {
	switch {
	case r.isBroken:
		return "broken line"
	case !utf8.ValidString(r.raw):
		return "not UTF-8"
	case r.width != r.wanted:
		return "cells"
	}
	for _, need := range required[r.feed] {
		if r.cells[need] == "" {
			return need + " is missing"
		}
	}
	for column, text := range r.cells {
		if why := c.cell(column, text); text != "" && why != "" {
			return why
		}
	}
	if r.feed == "passes" {
		return c.pass(r)
	}
	return ""
}

var required = map[string][]string{
	"breadcrumbs": {"truck_id", "at", "lat", "lon"},
	"passes":      {"truck_id", "crew_id", "route_id", "began_at", "ended_at"}, "weather": {"station_id", "observed_at"},
	"tickets":    {"ticket_id", "loaded_at", "truck_id", "stockpile_id", "material_id", "loaded_lb"},
	"conditions": {"route_id", "observed_at", "cover"}, "stock": {"stockpile_id", "material_id", "at", "kind", "amount_lb"},
}

var words = map[string]string{
	"purpose": "pretreat storm cleanup frost refreeze drift other", "cover": "bare-dry bare-wet slush partly-covered covered packed ice",
	"plow_down": "true false yes no 1 0", "spreading": "true false", "kind": "count delivery adjustment",
}

func (c lightCheck) cell(column, text string) string {
	known := map[string]map[string]row{"truck_id": c.trucks, "crew_id": c.crews, "route_id": c.routes, "material_id": c.materials,
		"prewet_material_id": c.materials, "station_id": c.stations}[column]
	if known != nil {
		if _, has := known[text]; !has {
			return column + " is unknown"
		}
		return ""
	}
	if column == "present_wx" {
		for _, group := range strings.Fields(text) {
			if !strings.Contains(" SN RA DZ PL FZRA FZDZ RASN BLSN BR ", " "+strings.TrimLeft(group, "+-")+" ") {
				return "present weather " + group
			}
		}
		return ""
	}
	if list, has := words[column]; has {
		if !strings.Contains(" "+list+" ", " "+text+" ") {
			return column + " word"
		}
		return ""
	}
	if strings.HasSuffix(column, "_at") || column == "at" {
		if _, err := at(text); err != nil {
			return column + " time"
		}
		return ""
	}
	if strings.HasSuffix(column, "_id") || column == "note" || (column == "precip_in" && text == "T") {
		return ""
	}
	x, err := strconv.ParseFloat(text, 64)
	low, high := bounds(column)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) || x < low || x > high {
		return column + " number"
	}
	return ""
}

func bounds(column string) (low, high float64) {
	switch column {
	case "rate_set_lb_per_lane_mi":
		return 0, 2000
	case "dispensed_lb":
		return 0, 60000
	case "lanes", "lane_miles":
		return 0.001, 1000
	case "lat":
		return -90, 90
	case "lon":
		return -180, 180
	case "friction":
		return 0, 1
	case "air_f", "surface_f", "dew_f", "amount_lb":
		return math.Inf(-1), math.Inf(1)
	}
	return 0, math.Inf(1)
}

func (c lightCheck) pass(r row) string {
	began, _ := at(r.cells["began_at"])
	ended, _ := at(r.cells["ended_at"])
	isClockNight := strings.HasPrefix(r.cells["began_at"], "2028-11-05 01:") // local and told twice: read apart
	if !isClockNight && (ended.Before(began) || ended.Sub(began) > 12*time.Hour) {
		return "ended_at"
	}
	from, to := r.cells["from_mi"], r.cells["to_mi"]
	if (from == "") != (to == "") {
		return "one mile only"
	}
	low, _ := strconv.ParseFloat(c.routes[r.cells["route_id"]].cells["from_mi"], 64)
	high, _ := strconv.ParseFloat(c.routes[r.cells["route_id"]].cells["to_mi"], 64)
	for _, text := range []string{from, to} {
		if mi, _ := strconv.ParseFloat(text, 64); text != "" && (mi < low-0.5 || mi > high+0.5) {
			return "outside the route"
		}
	}
	return ""
}

func TestExactlyThePlantedRowsAreBad(t *testing.T) {
	check := newLightCheck(t)
	var found, planted []string
	for _, b := range demoTruth.BadRows {
		planted = append(planted, fmt.Sprintf("%s/%s:%d", b.Feed, b.File, b.Line))
	}
	for _, feed := range []string{"breadcrumbs", "conditions", "passes", "stock", "tickets", "weather"} {
		for _, r := range readFeed(t, feed) {
			if check.why(r) != "" {
				found = append(found, fmt.Sprintf("%s/%s:%d", r.feed, r.file, r.line))
			}
		}
	}
	assert.Equal(t, planted, found)
}

func TestBadRowsAreOfManyKinds(t *testing.T) {
	kinds, broken := map[string]bool{}, 0
	for _, b := range demoTruth.BadRows {
		kinds[b.Kind] = true
		if b.Kind != "lent truck" {
			broken++
		}
	}
	assert.GreaterOrEqual(t, len(kinds), 24)
	assert.InDelta(t, 44, broken, 6)
}

func TestRowsOfEachFeedAddUp(t *testing.T) {
	require.Len(t, demoTruth.Feeds, 6)
	for _, n := range demoTruth.Feeds {
		assert.Len(t, readFeed(t, n.Feed), n.RowsRead, n.Feed)
		assert.Equal(t, n.RowsRead, n.Accepted+n.Duplicates+n.Corrections+n.Quarantined, n.Feed)
		entries, err := os.ReadDir(filepath.Join(demoDir, "inbox", n.Feed))
		require.NoError(t, err)
		assert.Len(t, entries, n.Files)
	}
}

func TestDuplicatesAndCorrectionsByKey(t *testing.T) {
	for _, n := range demoTruth.Feeds {
		inForce, duplicates, corrections := map[string]string{}, 0, 0
		for _, r := range goodRows(t, n.Feed) {
			key := keyOf(r)
			now := fmt.Sprint(r.cells) // fmt prints maps in the order of their keys
			switch was, has := inForce[key]; {
			case !has:
			case was == now:
				duplicates++
			default:
				corrections++
			}
			inForce[key] = now
		}
		assert.Equal(t, [3]int{n.Accepted, n.Duplicates, n.Corrections}, [3]int{len(inForce), duplicates, corrections}, n.Feed)
	}
}

// keyOf is the key of a good row as the contract gives it.
func keyOf(r row) string {
	switch r.feed {
	case "breadcrumbs":
		return r.cells["truck_id"] + "@" + r.cells["at"]
	case "weather":
		return r.cells["station_id"] + "@" + r.cells["observed_at"]
	case "tickets":
		return r.cells["ticket_id"]
	case "stock":
		return r.cells["stockpile_id"] + r.cells["material_id"] + r.cells["at"] + r.cells["kind"]
	case "conditions":
		return r.cells["route_id"] + "@" + r.cells["observed_at"]
	}
	if r.cells["pass_id"] != "" {
		return r.cells["pass_id"]
	}
	return r.cells["truck_id"] + "@" + r.cells["began_at"]
}

func TestReferenceTablesHoldTogether(t *testing.T) {
	check := newLightCheck(t)
	assert.Len(t, check.routes, 17)
	assert.Len(t, check.crews, 7)
	assert.Len(t, check.trucks, 11)
	assert.Len(t, check.stations, 4)
	zones := keys(t, "zones.csv", "zone_id")
	assert.Len(t, zones, 4)
	for _, r := range check.routes {
		lanes := (r.number(t, "to_mi") - r.number(t, "from_mi")) * r.number(t, "lanes")
		assert.InDelta(t, lanes, r.number(t, "lane_miles"), 0.05*lanes, r.cells["route_id"])
		assert.Contains(t, zones, r.cells["zone_id"])
	}
	for _, p := range reference(t, "pairs.csv") {
		a, c := check.routes[p.cells["acetate_route_id"]], check.routes[p.cells["chloride_route_id"]]
		assert.Equal(t, a.cells["zone_id"], c.cells["zone_id"])
	}
	acetate := map[string]int{}
	for _, a := range reference(t, "assignments.csv") {
		assert.Contains(t, check.routes, a.cells["route_id"])
		assert.Contains(t, check.crews, a.cells["crew_id"])
		if a.cells["material_class"] == "acetate" {
			acetate[a.cells["from_date"]]++
		}
	}
	assert.Equal(t, map[string]int{"2027-07-01": 3, "2028-07-01": 3}, acetate)
	assert.Contains(t, check.crews[demoTruth.EvilCrewID].cells["label"], "</script>")
	assert.NotContains(t, check.trucks, demoTruth.Planted.LentTruckID)
}

func TestTheFolderIsSmall(t *testing.T) {
	var size int64
	for _, line := range hashes(t, demoDir) {
		info, err := os.Stat(filepath.Join(demoDir, strings.Fields(line)[0]))
		require.NoError(t, err)
		size += info.Size()
	}
	assert.Less(t, size, int64(20<<20))
}
