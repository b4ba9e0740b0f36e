package pipeline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
)

// wholeReference is a small set of tables in order, one row or two each.
func wholeReference() map[string]string {
	return map[string]string{
		"zones.csv":    "zone_id,name,district_id\nhigh,High ground,d1\nlow,Low ground,d1\n",
		"stations.csv": "station_id,zone_id,name,lat,lon,elevation_ft\nS1,high,Pass,45.5,-101.25,3200\n",
		"routes.csv": "route_id,name,zone_id,from_mi,to_mi,lanes,lanes_per_pass,lane_miles\nR1,Ridge,high,0,10,2,,20\nR2,Ridge " +
			"bridge,high,10,11,2,2,2\nR3,Valley,low,,,,,12\n",
		"crews.csv": "crew_id,label,prior_acetate_storms\nA,Crew A,3\nB,Crew B,\n",
		"assignments.csv": "route_id,from_date,to_date,material_class,crew_id\nR1,2029-10-01,2030-01-31,chloride,A\nR1,2030-02-01,," +
			"acetate,A\nR2,2029-10-01,,acetate,\n",
		"trucks.csv": "truck_id,capacity_ft3\nT1,\nT2,240\n",
		"materials.csv": "material_id,name,class,form,bulk_density_lb_ft3,dry_lb_per_gal,chloride_fraction\nsalt,Salt,chloride," +
			"solid,70,,0.60663\ncma,CMA,acetate,solid,44,,\nka,Potassium acetate,acetate,liquid,,5.3,\n",
		"prices.csv":       "material_id,from_date,usd_per_ton\nsalt,2029-07-01,80\nsalt,2030-01-01,85\n",
		"calibrations.csv": "truck_id,material_id,at,gate_in,measured_lb_per_mile,speed_mph\nT1,salt,2029-11-01 09:00,2,600,20\n",
		"catch_tests.csv": "truck_id,material_id,at,gate_in,caught_lb,seconds,revolutions\nT1,salt,2029-11-01T09:00Z,2,200,60,\nT1," +
			"salt,2029-11-01T09:10Z,2,21,,3\n",
		"pairs.csv":  "acetate_route_id,chloride_route_id\nR2,R1\n",
		"orders.csv": "from_date,text\n2030-01-10,Hold back on bridges\n",
		"storms.csv": "zone_id,began_at,ended_at,name\nhigh,2030-01-05 03:00,2030-01-06 03:00,\nhigh,2030-01-06 03:00,2030-01-06 " +
			"09:00,\n",
		"bridges.csv": "route_id,from_mi,to_mi,name\nR1,2.5,3,Mill bridge\n",
		"route_lines.geojson": `{"type": "FeatureCollection", "features": [
 {"type": "Feature", "properties": {"route_id": "R1"},
  "geometry": {"type": "LineString", "coordinates": [[-101.25, 45.5], [-101.5, 45.75, 900]]}},
 {"type": "Feature", "properties": {"route_id": "R2"}, "geometry": {"type": "LineString", "coordinates": [[-101.5, 45.75], [-101.6, 45.8]]}}
]}`,
		"other_roads.geojson": `{"type": "FeatureCollection", "features": [
 {"type": "Feature", "properties": null, "geometry": {"type": "LineString", "coordinates": [[-101.25, 45.5], [-101.3, 45.5]]}}]}`,
	}
}

func readReference(t *testing.T, files map[string]string) (*district.Reference, error) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "reference"), 0o755))
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "reference", name), []byte(text), 0o644))
	}
	return district.ReadReference(dir, &district.Settings{Location: locationOf(t, "America/Denver")})
}

func TestReadReference(t *testing.T) {
	files := wholeReference()
	files["zones.csv"] = "\ufeff" + strings.ReplaceAll(files["zones.csv"], "\n", "\r\n")
	reference, err := readReference(t, files)
	require.NoError(t, err)
	assert.Empty(t, reference.Warnings)
	require.Len(t, reference.Tables, len(contract.ReferenceNames))
	counts := map[string]int{"zones": 2, "stations": 1, "routes": 3, "crews": 2, "material_classes": 3, "assignments": 3, "trucks": 2,
		"materials": 3, "prices": 2,
		"calibrations": 1, "catch_tests": 2, "pairs": 1, "orders": 1, "declared_storms": 2, "route_lines": 2,
		"other_roads": 1, "bridges": 1}
	for name, want := range counts {
		table := reference.Table(name)
		require.NotNil(t, table, name)
		assert.Len(t, table.Rows, want, name)
		assert.Len(t, table.Lines, want, name)
	}
	routes := reference.Table("routes")
	assert.Equal(t, []int{2, 3, 4}, routes.Lines)
	assert.Equal(t, 1.0, routes.Cell(0, "lanes_per_pass").Number, "default")
	assert.Equal(t, 2.0, routes.Cell(1, "lanes_per_pass").Number)
	assert.True(t, routes.Cell(2, "from_mi").Null)
	assert.Equal(t, contract.Value{Number: 0}, reference.Table("crews").Cell(1, "prior_acetate_storms"), "default")
	assert.True(t, reference.Table("trucks").Cell(0, "capacity_ft3").Null)
	lines := reference.Table("route_lines")
	assert.Equal(t, "[[-101.25,45.5],[-101.5,45.75]]", lines.Cell(0, "points").Text)
	assert.Equal(t, []int{2, 4}, lines.Lines)
	began := reference.Table("declared_storms").Cell(0, "began_at").Micros
	assert.Equal(t, "2030-01-05T10:00:00Z", time.UnixMicro(began).UTC().Format(time.RFC3339))
}

func TestOptionalReferenceTablesMayBeAbsent(t *testing.T) {
	files := wholeReference()
	for _, name := range []string{"prices.csv", "calibrations.csv", "catch_tests.csv", "pairs.csv", "orders.csv", "storms.csv",
		"route_lines.geojson", "other_roads.geojson", "bridges.csv"} {
		delete(files, name)
	}
	reference, err := readReference(t, files)
	require.NoError(t, err)
	assert.Len(t, reference.Tables, len(contract.ReferenceNames))
	assert.Empty(t, reference.Table("declared_storms").Rows)
	for _, name := range district.RequiredReference {
		files := wholeReference()
		delete(files, name+".csv")
		_, err := readReference(t, files)
		require.Error(t, err, name)
		assert.Contains(t, err.Error(), "reference/"+name+".csv: the file does not exist")
	}
}

// Each case changes one table; want is the whole text of the fault.
func TestReferenceFaults(t *testing.T) {
	cases := []struct{ file, old, new, want string }{
		{"zones.csv", "low,Low ground,d1\n", "low,Low ground,d1\nhigh,Again,d1\n",
			`reference/zones.csv:4: zone_id: "high" stands already on line 2; keep one of the two rows, ` +
				`or give this one a name of its own`},
		{"zones.csv", "low,Low ground,d1", "low,Low ground",
			`reference/zones.csv:3: 2 cells where the header has 3; put a cell that holds a comma in double quotes, and leave no cell out`},
		{"zones.csv", "low,Low", `low,"Low`,
			`reference/zones.csv:3: extraneous or missing " in quoted-field; double a quote that stands inside a quoted cell, and ` +
				`close every quote`},
		{"stations.csv", "S1,high", "S1,hgh",
			`reference/stations.csv:2: zone_id: "hgh" is not in reference/zones.csv; add it there, or put the name right (the nearest ` +
				`there is "high")`},
		{"stations.csv", "45.5", "95.5",
			`reference/stations.csv:2: lat: "95.5" is out of range; at least -90 and at most 90 (degree) is wanted: look for a wrong ` +
				`unit or a broken sensor`},
		{"routes.csv", ",0,10,2,,20", ",10,10,2,,20",
			`reference/routes.csv:2: to_mi: 10 does not lie after from_mi, 10; write the smaller mile first`},
		{"routes.csv", ",0,10,2,,20", ",0,,2,,20",
			`reference/routes.csv:2: to_mi: to_mi is empty and from_mi is not; give both or neither`},
		{"routes.csv", "2,,20", "2,,0",
			`reference/routes.csv:2: lane_miles: "0" is out of range; more than 0 (lane-mile) is wanted: look for a wrong unit or a ` +
				`broken sensor`},
		{"crews.csv", "B,Crew B", "all,Crew B",
			`reference/crews.csv:3: crew_id: "all" is reserved for the district as a whole; give the crew another name`},
		{"crews.csv", "B,Crew B", "B;C,Crew B", `reference/crews.csv:3: crew_id: "B;C" does not have the form [^;]+; write it so`},
		{"crews.csv", "Crew A,3", "Crew A,3.5", `reference/crews.csv:2: prior_acetate_storms: "3.5" is not a whole number; write one`},
		{"assignments.csv", "2030-01-31", "2030-02-01",
			`reference/assignments.csv:3: from_date: 2030-02-01 falls into the span of route "R1" on line 2; end that one the day ` +
				`before (both dates count)`},
		{"assignments.csv", "2030-01-31", "2029-09-30",
			`reference/assignments.csv:2: to_date: 2029-09-30 lies before from_date, 2029-10-01; put the two dates right`},
		{"assignments.csv", "acetate,A", "acetat,A",
			`reference/assignments.csv:3: material_class: "acetat" is not a class; put the name right (the nearest of acetate, ` +
				`chloride, abrasive is "acetate"), or write reference/material_classes.csv with all classes`},
		{"assignments.csv", "acetate,A", "acetate,C",
			`reference/assignments.csv:3: crew_id: "C" is not in reference/crews.csv; add it there, or put the name right (the nearest ` +
				`there is "A")`},
		{"materials.csv", ",5.3,", ",,",
			`reference/materials.csv:4: dry_lb_per_gal: the cell is empty; a liquid needs its dry pounds per gallon`},
		{"materials.csv", "0.60663", "",
			`reference/materials.csv:2: chloride_fraction: the cell is empty; a chloride needs its chloride fraction, such as 0.6066 ` +
				`for sodium chloride`},
		{"prices.csv", "2030-01-01", "2029-07-01",
			`reference/prices.csv:3: material_id, from_date: "salt, 2029-07-01" stands already on line 2; keep one of the two rows, or ` +
				`give this one a name of its own`},
		{"prices.csv", "2030-01-01", "1/1/2030",
			`reference/prices.csv:3: from_date: "1/1/2030" is not a date (not a time); write YYYY-MM-DD`},
		{"catch_tests.csv", ",21,,3", ",21,,",
			`reference/catch_tests.csv:3: seconds: seconds and revolutions are both empty; say for how long or for how many turns the ` +
				`sample was caught`},
		{"pairs.csv", "R2,R1", "R2,R3",
			`reference/pairs.csv:2: chloride_route_id: "R3" lies in zone "low" and "R2" in zone "high"; pair routes of one zone`},
		{"pairs.csv", "R2,R1", "R2,R2", `reference/pairs.csv:2: chloride_route_id: "R2" is paired with itself; name two routes`},
		{"orders.csv", "from_date,text\n2030-01-10,Hold back on bridges", "from_date,text,route_id\n2030-01-10,Hold back on bridges,R9",
			`reference/orders.csv:2: route_id: "R9" is not in reference/routes.csv; add it there, or put the name right (the nearest ` +
				`there is "R1")`},
		{"storms.csv", "2030-01-06 03:00,2030-01-06 09:00", "2030-01-06 02:59,2030-01-06 09:00",
			`reference/storms.csv:3: began_at: the storm begins before that of zone "high" on line 2 has ended; end that one earlier, ` +
				`or make one storm of the two`},
		{"storms.csv", "2030-01-06 09:00", "2030-01-06 02:00",
			`reference/storms.csv:3: ended_at: ended_at lies 1.00 h before began_at; put the two times right`},
		{"bridges.csv", "2.5,3", "3,2.5",
			`reference/bridges.csv:2: to_mi: 2.5 does not lie after from_mi, 3; write the smaller mile first`},
		{"bridges.csv", "2.5,3", "9.5,10.1",
			`reference/bridges.csv:2: from_mi: 9.5 to 10.1 is not within the route's miles, 0 to 10; put the miles right`},
		{"bridges.csv", "R1,2.5", "R7,2.5",
			`reference/bridges.csv:2: route_id: "R7" is not in reference/routes.csv; add it there, or put the name right (the nearest ` +
				`there is "R1")`},
		{"route_lines.geojson", `"route_id": "R2"`, `"route_id": "R7"`,
			`reference/route_lines.geojson:4: route_id: "R7" is not in reference/routes.csv; add it there, or put the name right (the ` +
				`nearest there is "R1")`},
		{"route_lines.geojson", `"route_id": "R2"`, `"name": "R2"`,
			`reference/route_lines.geojson:4: route_id: the feature has no text property route_id; name its route`},
		{"route_lines.geojson", `"LineString", "coordinates": [[-101.5,`, `"Polygon", "coordinates": [[-101.5,`,
			`reference/route_lines.geojson:4: geometry: route "R2" is not drawn by a LineString; draw it with one`},
		{"route_lines.geojson", `[[-101.5, 45.75], [-101.6, 45.8]]`, `[[45.75, -101.5], [45.8, -101.6]]`,
			`reference/route_lines.geojson:4: coordinates: route "R2": position 1 is [45.75, -101.5]; write longitude (-180 to 180) ` +
				`first, then latitude (-90 to 90)`},
		{"route_lines.geojson", `[[-101.5, 45.75], [-101.6, 45.8]]`, `[[-101.5, 45.75]]`,
			`reference/route_lines.geojson:4: coordinates: route "R2": 1 positions; a line needs at least two (RFC 7946, section 3.1.4)`},
	}
	for _, c := range cases {
		files := wholeReference()
		require.Equal(t, 1, strings.Count(files[c.file], c.old), "%s holds %q once", c.file, c.old)
		files[c.file] = strings.Replace(files[c.file], c.old, c.new, 1)
		_, err := readReference(t, files)
		var fault *district.ReferenceFault
		require.ErrorAs(t, err, &fault, c.want)
		assert.Equal(t, c.want, fault.Error())
	}
}

func TestReferenceWarnings(t *testing.T) {
	files := wholeReference()
	files["routes.csv"] = "route_id,name,zone_id,from_mi,to_mi,lanes,lane_miles,bridge_lane_miles,water_shed\n" +
		"R1,Ridge,high,0,10,2,21,,\nR2,Ridge bridge,high,10,11,2,2.11,2.2,\nR3,Valley,low,,,,12,,\n"
	files["pair.csv"] = "x\n"
	reference, err := readReference(t, files)
	require.NoError(t, err)
	assert.Equal(t, []string{
		`reference/pair.csv: nothing reads this file; the nearest reference table is "pairs.csv"`,
		`reference/routes.csv:1: water_shed: nothing reads this column; the nearest that is read is "watershed"`,
		`reference/routes.csv:3: bridge_lane_miles: 2.2 is more than the route's lane_miles, 2.11; bridge decks are a part of the route`,
		`reference/routes.csv:3: lane_miles: 2.11 is over 5 % from miles x lanes, 2; look whether lanes counts both directions`,
	}, strings.Split(contract.JoinFaults(reference.Warnings), "\n"), "21 is exactly 5 % from 20 and gives no warning")
}

func TestReferenceFaultsComeAllAtOnceAndSorted(t *testing.T) {
	files := wholeReference()
	files["zones.csv"] = "zone_id,name,district_id\nhigh,,\nlow,Low ground,d1\n"
	files["crews.csv"] = "crew_id,label\nall,x\n"
	_, err := readReference(t, files)
	var fault *district.ReferenceFault
	require.ErrorAs(t, err, &fault)
	var places []string
	for _, f := range fault.Faults {
		places = append(places, strings.TrimPrefix(f.String(), "reference/")[:len("zones.csv:2")])
	}
	assert.Equal(t, []string{"assignments", "assignments", "crews.csv:2", "zones.csv:2", "zones.csv:2"}, places)
}

func locationOf(t *testing.T, zone string) *time.Location {
	t.Helper()
	location, err := time.LoadLocation(zone)
	require.NoError(t, err)
	return location
}
