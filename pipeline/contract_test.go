package pipeline

import (
	"encoding/json"
	"io/fs"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/schemas"
)

// contractColumns are the columns that other programs read and write, in their order, * for required.
var contractColumns = map[string]string{
	"reference/material_classes": "class*, compared*",

	"feeds/passes": "pass_id, truck_id*, crew_id*, route_id*, began_at*, ended_at*, from_mi, to_mi, lanes, lane_miles, " +
		"material_id, rate_set_lb_per_lane_mi, dispensed_lb, dispensed_gal, prewet_gal, prewet_material_id, plow_down, purpose, " +
		"gate_in, spinner_setting, speed_mph, note",
	"feeds/weather": "station_id*, observed_at*, air_f, surface_f, dew_f, wind_mph, gust_mph, wind_deg, visibility_mi, " +
		"precip_in, present_wx, snow_depth_in",
	"feeds/tickets":    "ticket_id*, loaded_at*, truck_id*, stockpile_id*, material_id*, loaded_lb*, returned_lb",
	"feeds/stock":      "stockpile_id*, material_id*, at*, kind*, amount_lb*",
	"feeds/conditions": "route_id*, observed_at*, cover*, friction",
	"feeds/breadcrumbs": "truck_id*, at*, lat*, lon*, speed_mph, spreading, rate_lb_per_lane_mi, dispensed_total_lb, material_id, " +
		"plow_down, lanes, crew_id",
	"reference/zones":    "zone_id*, name*, district_id*",
	"reference/stations": "station_id*, zone_id*, name, lat, lon, elevation_ft",
	"reference/routes": "route_id*, name*, zone_id*, from_mi, to_mi, lanes, lanes_per_pass, lane_miles*, bridge_lane_miles, " +
		"traffic_aadt, watershed, one_way",
	"reference/assignments": "route_id*, from_date*, to_date, material_class*, crew_id",
	"reference/crews":       "crew_id*, label*, prior_acetate_storms, members",
	"reference/trucks":      "truck_id*, capacity_ft3",
	"reference/materials": "material_id*, name*, class*, form*, bulk_density_lb_ft3, dry_lb_per_gal, chloride_fraction, " +
		"lowest_working_f, oxygen_demand_lb_per_lb, source",
	"reference/prices":       "material_id*, from_date*, usd_per_ton*",
	"reference/calibrations": "truck_id*, material_id*, at*, gate_in*, measured_lb_per_mile*, speed_mph*",
	"reference/catch_tests":  "truck_id*, material_id*, at*, gate_in*, caught_lb*, seconds, revolutions, rev_per_min, speed_mph",
	"reference/pairs":        "acetate_route_id*, chloride_route_id*",
	"reference/orders":       "from_date*, text*, material_class, route_id",
	"reference/storms":       "zone_id*, began_at*, ended_at*, name",
	"reference/route_lines":  "route_id*, points*",
	"reference/other_roads":  "road_no*, points*",
	"reference/bridges":      "route_id*, from_mi*, to_mi*, name",
	"exports/storms": "season, storm_id, district_id, zone_id, began_at, ended_at, hours, is_open, is_declared, kind, snow_h, " +
		"freezing_h, sleet_h, precip_in, air_f_mean, air_f_min, surface_f_min, wind_mph_max, severity_storm, severity",
	"exports/storm_routes": "season, storm_id, zone_id, route_id, material_class, form, crew_ids, route_lane_miles, " +
		"treated_lane_miles, measured_lane_miles, applied_lb, unplaced_lb, prewet_lb, rate_lb_per_lane_mi, storm_lb_per_lane_mi, " +
		"applications, covered_share, rounds, median_round_gap_h, treating_passes, unmeasured_passes, plow_passes, " +
		"first_application_at, onset_lag_min, cold_share, wind_share, regain_h, regain_state, chloride_lb, cost_usd, " +
		"set_rate_share, capped_regain_h, is_bare_in_cap",
	"exports/coverage": "season, storm_id, route_id, material_class, form, from_mi, to_mi, passes, treated_lane_miles, " +
		"applications, applied_lb, last_treated_at",
	"exports/outside_storms": "season, route_id, material_class, form, treating_passes, unmeasured_passes, plow_passes, " +
		"treated_lane_miles, applied_lb",
	"exports/crew_storms": "season, storm_id, crew_id, route_id, material_class, form, prior_storms, treated_lane_miles, " +
		"measured_lane_miles, applied_lb, rate_lb_per_lane_mi, learning_use",
	"exports/passes": "pass_id, truck_id, crew_id, route_id, storm_id, began_at, ended_at, from_mi, to_mi, lane_miles, material_id, " +
		"applied_lb, plow_down, source, points, matched_share, confidence",
	"exports/intake":     "feed, file, sha256, same_as, rows_read, accepted, duplicates, corrections, quarantined",
	"exports/quarantine": "feed, file, line, column, reason, remedy, raw, rows",
	"exports/learning": "crew_id, storms, rows, rows_left_out, prior_storms_latest, start_rate_lb_per_lane_mi, " +
		"change_per_doubling_pct, change_low90_pct, change_high90_pct, df, latest_rate_lb_per_lane_mi, sd_storm, sd_route, sd_crew, " +
		"sd_slope, sd_residual, start_ratio, start_ratio_low90, start_ratio_high90, latest_ratio, latest_ratio_low90, " +
		"latest_ratio_high90, path_verdict, net_change_pct, net_low90_pct, net_high90_pct, salt_trend_pct, start_verdict, " +
		"control_verdict, verdict, service_verdict, not_adjusted_for",
	"exports/claims":      "season, claim, answer, figure, low90, high90, left_out",
	"exports/beside_salt": "season, question, contrast, ratio, low90, high90, df",
	"exports/plans": "design, margin, acetate_routes, chloride_routes, season_storms, seasons, districts, chance_share, " +
		"storms_needed, storms_more, seasons_needed, acetate_routes_needed, chloride_routes_needed, districts_needed, sd_district, " +
		"sd_season, sd_route, sd_acetate_route, sd_storm_class, sd_residual, assumed",
	"exports/comparison_storms": "season, storm_id, zone_id, acetate_rate, chloride_rate, rate_ratio, acetate_storm_lb, " +
		"chloride_storm_lb, storm_ratio, acetate_applications, chloride_applications, applications_ratio, " +
		"acetate_cost_usd_per_lane_mi, chloride_cost_usd_per_lane_mi, cost_ratio, acetate_regain_h, chloride_regain_h, " +
		"acetate_routes, chloride_routes, mixed_routes, unmeasured_routes, no_record_routes",
	"exports/comparison_seasons": "season, acetate_rate, chloride_rate, rate_ratio, acetate_storm_lb, " +
		"chloride_storm_lb, acetate_applications, chloride_applications, applications_ratio, " +
		"acetate_cost_usd_per_lane_mi, chloride_cost_usd_per_lane_mi, cost_ratio, acetate_regain_h, chloride_regain_h, " +
		"acetate_routes, chloride_routes, mixed_routes, unmeasured_routes, no_record_routes, storms, total_ratio, low90, " +
		"high90, verdict, margin_shown_pct, applications_low90, applications_high90, applications_verdict, typical_ratio, " +
		"typical_low90, typical_high90, zero_acetate, zero_chloride, end_ratio, end_low90, end_high90, regain_diff_h, " +
		"regain_low90_h, regain_high90_h, regain_verdict, acetate_not_bare_share, chloride_not_bare_share, not_bare_diff, " +
		"not_bare_low90, not_bare_high90, material_ratio, material_low90, material_high90, routes_changed, path_verdict, " +
		"acetate_set_rate_share, chloride_set_rate_share, pounds_basis",
	"exports/reconciliation": "week, truck_id, material_id, passes, tickets, spread_lb, weighed_lb, ratio, running_ratio, finding, " +
		"calibrated_at, calibration_age_days, calibration_due",
	"exports/stock_outlook": "material_id, as_of_date, on_hand_lb, storms_so_far, need_p10_lb, need_p50_lb, need_p90_lb, " +
		"order_by_date, basis, seed",

	"exports/weather_findings": "station_id, from, to, kind, text",
	"exports/weak_passes": "season, truck_id, route_id, material_id, began_at, ended_at, piece, points, matched_share, " +
		"confidence, miles, dispensed_lb, reason",
	"exports/season_severity": "season, district_id, zone_id, stations, first_date, last_date, days_counted, days_left_out, " +
		"temperature_points, snow_h, freezing_h, water_in, air_f_min, surface_f_min, windy_h",
	"exports/frosts": "zone_id, kind, from, to",
	"exports/season_costs": "season, material_class, passes, unmeasured_passes, route_lane_miles, treated_lane_miles, applied_lb, " +
		"prewet_lb, usd, storms_usd, outside_usd, unpriced_lb, usd_per_lane_mi, usd_per_treated_lane_mi, usd_per_ton, " +
		"first_price_date, last_price_date, budget_usd, budget_left_usd, budget_share",
	"exports/break_even": "season, storms, acetate_routes, chloride_routes, acetate_lb_per_lane_mi, chloride_lb_per_lane_mi, " +
		"acetate_usd_per_lane_mi, chloride_usd_per_lane_mi, cost_ratio, pound_ratio, acetate_usd_per_ton, chloride_usd_per_ton, " +
		"acetate_first_price_date, acetate_last_price_date, chloride_first_price_date, chloride_last_price_date, " +
		"break_even_usd_per_ton, break_even_price_ratio, break_even_pound_ratio",
	"exports/watershed_storms": "season, storm_id, watershed, routes, chloride_lb, acetate_lb, acetate_routes, kept_off_routes, " +
		"kept_off_lb, kept_off_basis, oxygen_demand_lb, unmeasured_passes",
	"exports/watershed_seasons": "season, watershed, storms, lane_miles, chloride_lb, outside_chloride_lb, chloride_lb_per_lane_mi, " +
		"acetate_lb, acetate_route_storms, kept_off_route_storms, kept_off_lb, kept_off_share, kept_off_basis, oxygen_demand_lb, " +
		"unmeasured_passes",
	"exports/timing": "season, storm_id, zone_id, route_id, material_class, first_application_at, applied_lb, cold_lb, " +
		"cold_share, wind_lb, wind_share, early_lb, early_share, snow_before_h, is_late",
}

// kindNames gives the contracts of every kind as kind/name.
func kindNames() []string {
	var names []string
	for kind, of := range map[string][]string{"feeds": contract.FeedNames, "reference": contract.ReferenceNames,
		"exports": contract.ExportNames} {
		for _, name := range of {
			names = append(names, kind+"/"+name)
		}
	}
	slices.Sort(names)
	return names
}

func TestContractColumns(t *testing.T) {
	require.Len(t, kindNames(), len(contractColumns))
	files := 0
	require.NoError(t, fs.WalkDir(schemas.FS, ".", func(path string, _ fs.DirEntry, err error) error {
		if strings.HasSuffix(path, ".json") {
			files++
		}
		return err
	}))
	assert.Equal(t, len(contractColumns), files, "every contract file is listed")
	for _, path := range kindNames() {
		kind, name, _ := strings.Cut(path, "/")
		contract := contractOf(t, kind, name)
		assert.Equal(t, name, contract.Name)
		var columns []string
		for _, field := range contract.Fields {
			mark := ""
			if field.Constraints.Required && kind != "exports" {
				mark = "*"
			}
			columns = append(columns, field.Name+mark)
		}
		assert.Equal(t, contractColumns[path], strings.Join(columns, ", "), path)
	}
	_, err := contract.LoadContract("feeds", "passengers")
	assert.ErrorContains(t, err, `contract "feeds/passengers.json"`)
}

// The rules of a Table Schema: https://datapackage.org/standard/table-schema/ (version 2.0): fields with unique names, a known
// type, constraints that suit it, primary and foreign keys that name fields.
func TestContractsAreTableSchemas(t *testing.T) {
	constraintsOf := map[string][]string{
		"string": {"required", "enum", "pattern"}, "boolean": {"required"},
		"number": {"required", "minimum", "exclusiveMinimum", "maximum"}, "integer": {"required", "minimum", "exclusiveMinimum", "maximum"},
		"datetime": {"required"}, "date": {"required"},
	}
	for _, path := range kindNames() {
		text, err := schemas.FS.ReadFile(path + ".json")
		require.NoError(t, err)
		var raw struct {
			Schema string `json:"$schema"`
			Fields []struct {
				Name, Type  string
				Constraints map[string]any
			}
		}
		require.NoError(t, json.Unmarshal(text, &raw))
		assert.Equal(t, "https://datapackage.org/profiles/2.0/tableschema.json", raw.Schema, path)
		seen := map[string]bool{}
		for _, field := range raw.Fields {
			require.False(t, seen[field.Name], "%s: %s twice", path, field.Name)
			seen[field.Name] = true
			require.Contains(t, constraintsOf, field.Type, path)
			for constraint := range field.Constraints {
				assert.Contains(t, constraintsOf[field.Type], constraint, "%s: %s", path, field.Name)
			}
		}
		checkContractKeys(t, path)
	}
}

func checkContractKeys(t *testing.T, path string) {
	kind, name, _ := strings.Cut(path, "/")
	promised := contractOf(t, kind, name)
	for _, key := range append([][]string{promised.PrimaryKey}, promised.Keys...) {
		for _, column := range key {
			assert.GreaterOrEqual(t, promised.Index(column), 0, "%s: key %s", path, column)
		}
	}
	for _, key := range promised.ForeignKeys {
		target := contractOf(t, "reference", key.Reference.Resource)
		require.Len(t, key.Reference.Fields, len(key.Fields))
		for i := range key.Fields {
			assert.GreaterOrEqual(t, promised.Index(key.Fields[i]), 0, path)
			assert.GreaterOrEqual(t, target.Index(key.Reference.Fields[i]), 0, path)
		}
		place, targetPlace := slices.Index(contract.ReferenceNames, name), slices.Index(contract.ReferenceNames, key.Reference.Resource)
		assert.Less(t, targetPlace, place, "%s comes after %s", name, key.Reference.Resource)
	}
	if len(promised.Keys) == 0 && name != "catch_tests" && name != "orders" {
		assert.NotEmpty(t, promised.PrimaryKey, path)
	}
	for _, field := range promised.Fields {
		assert.Regexp(t, `^\S.*\.$`, field.Description, "%s: %s is described by a sentence", path, field.Name)
		assert.Equal(t, strings.ToLower(field.Name), field.Name)
	}
}

// The published profile of Table Schema, by the reader that its authors publish (npm: tableschema), which make test installs.
func TestContractsAgainstPublishedProfile(t *testing.T) {
	module, err := filepath.Abs(filepath.Join("..", "testdata", "checkers", "node_modules", "tableschema"))
	require.NoError(t, err)
	require.DirExists(t, module, "run npm ci --ignore-scripts in testdata/checkers")
	for _, kind := range []string{"feeds", "reference", "exports"} {
		paths, err := filepath.Glob(filepath.Join("..", "schemas", kind, "*.json"))
		require.NoError(t, err)
		require.NotEmpty(t, paths)
		script := `const {validate} = require(process.argv[1]), fs = require("fs");
(async () => { for (const path of process.argv.slice(2)) {
  const result = await validate(JSON.parse(fs.readFileSync(path)));
  if (!result.valid) { console.error(path, result.errors.map(e => e.message)); process.exitCode = 1 } }
  const broken = await validate({fields: [{name: "a", type: "number", constraints: {minimum: []}}]});
  if (broken.valid) { console.error("a broken schema passes"); process.exitCode = 1 } })()`
		output, err := exec.Command("node", append([]string{"-e", script, module}, paths...)...).CombinedOutput()
		require.NoError(t, err, string(output))
	}
}

var ddlColumn = regexp.MustCompile(`(?m)^    "?(\w+)"? (\w+)( not null)?,?$`)

// Each table of loading has the columns and types of its contract.
func TestTablesHaveTheColumnsOfTheirContracts(t *testing.T) {
	types := map[string]string{"string": "varchar", "number": "double", "integer": "double", "boolean": "boolean",
		"datetime": "timestamptz", "date": "date"}
	for _, name := range contract.ReferenceNames {
		table := district.ReferenceTableName(name)
		var want []string
		for _, field := range contractOf(t, "reference", name).Fields {
			column := field.Name + " " + types[field.Type]
			if field.Constraints.Required || field.Default != nil {
				column += " not null"
			}
			want = append(want, column)
		}
		assert.Equal(t, want, ddlColumns(t, table), table)
	}
	want := []string{}
	for i, column := range district.RunColumns() {
		kind := " double not null"
		if _, isText := district.DefaultSettings().RunValues()[i].(string); isText {
			kind = " varchar not null"
		}
		want = append(want, column+kind)
	}
	assert.Equal(t, want, ddlColumns(t, "run"))
}

// DuckDB takes every statement as it stands.
func TestTablesOfLoadingRun(t *testing.T) {
	ledger, err := ledger.Open(t.Context(), "")
	require.NoError(t, err)
	defer func() { assert.NoError(t, ledger.Close()) }()
	for _, name := range append([]string{"run"}, contract.ReferenceNames...) {
		text, err := schemas.FS.ReadFile("tables/" + district.ReferenceTableName(name) + ".sql")
		require.NoError(t, err)
		assert.NoError(t, ledger.Exec(t.Context(), string(text)), name)
	}
}

func ddlColumns(t *testing.T, table string) []string {
	text, err := schemas.FS.ReadFile("tables/" + table + ".sql")
	require.NoError(t, err)
	require.Contains(t, string(text), "create or replace table "+table+" (\n")
	var columns []string
	for _, match := range ddlColumn.FindAllStringSubmatch(string(text), -1) {
		columns = append(columns, match[1]+" "+match[2]+match[3])
	}
	return columns
}

func TestMarkdownTables(t *testing.T) {
	feeds := FeedTables()
	assert.Contains(t, feeds, "\n| truck_id* | text |  | Truck that made the pass, as in trucks.csv. |\n")
	assert.Contains(t, feeds,
		"| dispensed_lb | number | pound | What the controller counted out, solids. At least 0 and at most 60000. |\n")
	assert.Contains(t, ReferenceTables(), "| lanes_per_pass | number | lane | Lanes that one pass serves. More than 0. Empty means 1. |\n")
	for _, text := range []string{feeds, ReferenceTables(), ExportTables()} {
		for _, line := range strings.Split(text, "\n") {
			if strings.HasPrefix(line, "|") {
				assert.Equal(t, 5, strings.Count(strings.ReplaceAll(line, `\|`, ""), "|"), line)
			}
		}
	}
	assert.Equal(t, len(contract.FeedNames), strings.Count(feeds, "#### "))
}

func contractOf(t *testing.T, kind, name string) *contract.Contract {
	t.Helper()
	read, err := contract.LoadContract(kind, name)
	require.NoError(t, err)
	return read
}
