package pipeline

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By hand. T1 treats R1 out and back with nacl (2 x 10 mi x 200 lb, 04:30 to 05:10) and, from 05:40, R2 with cma (5 mi x 300 lb); T2's
// plain drive is not part of it.
//   - One sheet for R1, both ways: both passes are its; 20 lane-miles as on the sheet, 4,000 lb where the sheet says 4,700: 17 % over, a
//
// difference.
//   - One sheet for R1 at the time on R2: no pass of that time is on R1, so the sheet's identity stands with R2's measures, 10 lane-miles
//
// (two a pass)
//
//	  and 1,500 lb; the sheet gives 12 lane-miles, 20 % more; differences in route, material and lane-miles; its miles stay the sheet's.
//	- A sheet of the same truck hours later meets nothing.
//
// Together 5,500 lb of the counter and 800 lb of the sheet that stands alone.
func TestSheetsAndPositionsAreOnePass(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.Join(twoDays(), ""))
	header := "pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,lane_miles,material_id,dispensed_lb,purpose\n"
	sheet := func(cells ...string) string { return strings.Join(cells, ",") + "\n" }
	d.deliver("passes/sheet.csv", header+
		sheet("p1", "T1", "north", "R1", "2030-01-16T04:25Z", "2030-01-16T05:15Z", "10", "20", "20", "nacl", "4700", "storm")+
		sheet("p2", "T1", "north", "R1", "2030-01-16T05:35Z", "2030-01-16T05:55Z", "11", "12", "12", "nacl", "1500", "cleanup")+
		sheet("p3", "T1", "north", "R1", "2030-01-16T12:00Z", "2030-01-16T12:30Z", "10", "20", "", "nacl", "800", "storm"))
	d.night()
	assert.Equal(t, []string{
		"id:p1|R1|2030-01-16 04:30:00+00|2030-01-16 05:10:00+00|10.0|20.0|20.0|nacl|4000.0|storm|passes",
		"id:p2|R1|2030-01-16 05:40:00+00|2030-01-16 05:50:00+00|11.0|12.0|10.0|nacl|1500.0|cleanup|passes",
		"id:p3|R1|2030-01-16 12:00:00+00|2030-01-16 12:30:00+00|10.0|20.0||nacl|800.0|storm|passes",
		"crumb:T2|R1|2030-01-16 23:45:00+00|2030-01-17 00:05:00+00|10.0|20.0||nacl|1500.0||breadcrumbs",
	}, d.rows(`select left(pass_key, 8), route_id, date_trunc('minute', began_at + interval 30 second), date_trunc('minute', ended_at +
		interval 30 second), round(from_mi, 1), round(to_mi, 1),
		round(lane_miles, 1), material_id, round(dispensed_lb, 1), purpose, feed from passes order by began_at`))
	assert.Equal(t, []string{
		"id:p1|sheet_pounds|4700.0|pound|4000.0|pound||", "id:p2|sheet_lane_miles|12.0|lane-mile|10.0|lane-mile||",
		"id:p2|sheet_material|||||nacl|cma",
		"id:p2|sheet_route|||||R1|R2",
	}, d.rows(`select pass_key, finding_code, round(amount, 3), unit, round(other_amount, 3), other_unit, name, other_name
		from sheet_differences order by all`))
	assert.Equal(t, []string{"7800.0"}, d.rows("select round(sum(dispensed_lb), 3) from passes"))
	assert.Len(t, d.rows("select * from position_findings where subject_kind = 'pass'"), 4)
}

// Spreading without a material does not count, unless a sheet names it; what is weak and what counts are together what the counter counted.
func TestSpreadingWithoutAMaterial(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	d.deliver("breadcrumbs/a.csv", crumbsHeader+strings.Join(driven("T1", stormNight(), 0,
		leg{route: "R1", from: 10, to: 20, lbPerMi: 100}), ""))
	d.night()
	require.Empty(t, d.rows("select * from passes"))
	assert.Equal(t, []string{"T1|R1|1000.0|spread without naming a material"},
		d.rows("select truck_id, route_id, round(dispensed_lb, 1), reason from weak_passes"))
	d.deliver("passes/sheet.csv", passesHeader+"p1,T1,north,R1,2030-01-16T04:20Z,2030-01-16T05:00Z,10,20,cma,\n")
	d.night()
	assert.Equal(t, []string{"id:p1|cma|1000.0"}, d.rows("select pass_key, material_id, round(dispensed_lb, 1) from passes"))
	assert.Empty(t, d.rows("select * from weak_passes"))
}

// differencesInTime shows names and, in UTC, the times of sheets and positions.
const differencesInTime = `select pass_key, finding_code, name, other_name, strftime(from_at, '%H:%M') || ' to ' || strftime(to_at,
	'%H:%M'),
	strftime(other_from_at, '%H:%M') || ' to ' || strftime(other_to_at, '%H:%M') from sheet_differences`

// By hand. T1's pass on R1 from 04:30 to 04:50, 10 miles and 2,000 lb, is described by two sheets, of 480 s and 690 s: they share it as 480
// to 690, so 2,000 x 480 / 1,170 = 820.5 lb up to mile 10 + 4.10. The way back, 04:50 to 05:10, shares 9 min with a sheet whose clock is 11
// min late: under half of either, so both count, and that is said. T2's way back plows: a sheet with 1,200 lb stands, and that nothing went
// out is said. Another crew is said.
func TestSheetsThatShareAPassOrDisagree(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	for _, statement := range []string{"insert into crews by name select 'south' as crew_id, 'South' as label, 0 as prior_acetate_storms",
		"update run set reconcile_tolerance = 0.1"} {
		require.NoError(t, d.ledger.Exec(t.Context(), statement))
	}
	d.deliver("breadcrumbs/night.csv", crumbsHeader+strings.ReplaceAll(strings.Join(twoDays(), ""), ",,,north", ",,1,north"))
	d.deliver("passes/sheet.csv",
		"pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,lane_miles,material_id,dispensed_lb,purpose\n"+
			"p1,T1,north,R1,2030-01-16T04:30Z,2030-01-16T04:38Z,10,14,4.1,nacl,820,storm\n"+
			"p2,T1,south,R1,2030-01-16T04:38:30Z,2030-01-16T04:50Z,14,20,5.9,nacl,1180,storm\n"+
			"p3,T1,north,R1,2030-01-16T05:01Z,2030-01-16T05:21Z,20,10,10,nacl,2000,storm\n"+
			"p4,T2,north,R1,2030-01-17T00:05Z,2030-01-17T00:25Z,20,10,10,nacl,1200,storm\n")
	d.night()
	assert.Equal(t, []string{"id:p1|10.0|14.1|4.1|820.5", "id:p2|14.1|20.0|5.9|1179.5"},
		d.rows("select pass_key, round(from_mi, 1), round(to_mi, 1), round(lane_miles, 1), round(dispensed_lb, 1) from passes where "+
			"pass_key in ('id:p1', 'id:p2') order by all"))
	assert.Equal(t, []string{"2000.0"}, d.rows("select round(sum(dispensed_lb), 6) from passes where pass_key in ('id:p1', 'id:p2')"))
	assert.Equal(t, []string{
		"id:p2|sheet_crew|south|north||", "id:p3|sheet_time|R1||05:01 to 05:21|04:50 to 05:10", "id:p4|sheet_nothing_out|||1200.0|pound",
	}, d.rows(differencesInTime+" where finding_code <> 'sheet_nothing_out' union all select pass_key, finding_code, null, null, "+
		"amount::varchar, unit "+
		"from sheet_differences where finding_code = 'sheet_nothing_out' order by all"))
}

// By hand: the counter shows 2,000 lb on T1's pass. A sheet of brine describes its first 9 minutes and one of nacl the other 11: the liquid
// cannot hold them, so all are the salt's, and the brine keeps its gallons. The same sheet under another number, and one without length,
// count beside it, and that is said.
func TestSheetsThatCannotHoldThePounds(t *testing.T) {
	d := newDistrict(t)
	d.drawRoutes()
	for _, statement := range []string{
		"insert into materials by name select * replace ('brine' as material_id, 'liquid' as form, 2.0 as dry_lb_per_gal) from " +
			"materials where material_id = 'nacl'", "update run set reconcile_tolerance = 0.1",
	} {
		require.NoError(t, d.ledger.Exec(t.Context(), statement))
	}
	d.deliver("breadcrumbs/night.csv", crumbsHeader+
		strings.Join(driven("T1", stormNight(), 100, leg{route: "R1", from: 10, to: 20, lbPerMi: 200, material: "nacl"}), ""))
	d.deliver("passes/sheet.csv",
		"pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,lane_miles,material_id,dispensed_lb,dispensed_gal,purpose\n"+
			"p1,T1,north,R1,2030-01-16T04:30Z,2030-01-16T04:39Z,10,14.5,4.5,brine,,100,storm\n"+
			"p2,T1,north,R1,2030-01-16T04:39Z,2030-01-16T04:50Z,14.5,20,10,nacl,2000,,storm\n"+
			"p3,T1,north,R1,2030-01-16T04:39Z,2030-01-16T04:50Z,14.5,20,10,nacl,2000,,storm\n"+
			"p4,T1,north,R1,2030-01-16T04:45Z,2030-01-16T04:45Z,17,18,1,nacl,500,,storm\n")
	d.night()
	assert.Equal(t, []string{"id:p1|4.5||100.0", "id:p2|10.0|2000.0|", "id:p3|10.0|2000.0|", "id:p4|1.0|500.0|"},
		d.rows("select pass_key, round(lane_miles, 3), dispensed_lb, dispensed_gal from passes order by pass_key"))
	assert.Equal(t, []string{
		"id:p3|sheet_time_of_another|R1||04:39 to 04:50|04:30 to 04:50", "id:p4|sheet_time_of_another|R1||04:45 to 04:45|04:30 to 04:50",
	}, d.rows(differencesInTime+" order by all"))
}
