package pipeline

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
	"lanetally/pipeline/tally"
	"lanetally/pipeline/verdicts"
	"lanetally/queries"
)

// stretch names a part of a night's order.
type stretch string

// The stretches of a night, in order. The gate's two run once the release before is read beside tonight's.
const (
	stretchTell     stretch = "tell"     // what each delivered row is tonight
	stretchStorms   stretch = "storms"   // storms from the weather in force
	stretchPasses   stretch = "passes"   // passes in storms
	stretchTally    stretch = "tally"    // rates, coverage and accounts
	stretchFindings stretch = "findings" // what a person should look at, stock and its use
	stretchVerdicts stretch = "verdicts" // the learning curve, and acetate beside chloride
	stretchOutlook  stretch = "outlook"  // what the rest of the season may take
	stretchMoney    stretch = "money"    // costs, water and timing
	stretchMoved    stretch = "moved"    // what moved since last night
	stretchGate     stretch = "gate"     // what keeps tonight from going live
)

// step makes a table, or some, from those that loading and the steps before it made: a query by its file, or a function.
type step struct {
	table string
	query string   // file of queries/; its header says what it reads
	also  []string // further tables that make makes
	reads []string // by make
	make  func(context.Context, *ledger.Ledger, *district.Settings) error
}

// nightOrder is every step of a night from the delivered rows on, in order. A step reads only what steps before it wrote, and what was
// loaded.
var nightOrder = []struct {
	name  stretch
	steps []step
}{
	{stretchTell, slices.Concat(sqlSteps(
		"10_files_in_force.sql",
		"10_rows_judged.sql", "10_weather_judged.sql", "10_repeated_rows.sql", "11_observations_told.sql", "11_rows_told.sql",
	), []step{
		{table: "report_increments", reads: []string{"observations_told"}, make: tally.FillReportIncrements},
	}, sqlSteps(
		"12_conditions.sql", "12_crumb_passes_counted.sql", "12_observations.sql",
		"12_pass_sheets.sql", "12_pass_sheets_beside.sql", "12_pass_sheets_met.sql", "12_pass_sheets_tracked.sql",
		"12_passes.sql", "12_stock.sql", "12_tickets.sql", "12_weather_events.sql",
		"13_between_traces.sql", "13_report_doubts.sql", "14_position_trucks.sql", "14_route_doubts.sql", "14_sheet_differences.sql",
		"14_weak_passes.sql",
		"15_as_of.sql", "15_feed_ends.sql", "15_file_findings.sql", "15_position_findings.sql", "15_station_clocks.sql",
		"16_intake.sql", "17_quarantine.sql", "18_set_aside.sql",
	))},
	{stretchStorms, slices.Concat([]step{
		{table: "present_wx_codes", reads: []string{"observations"}, make: tally.FillPresentWxCodes},
	}, sqlSteps(
		"19_local_dates.sql", "19_temperature_leaps.sql", "19_unchanged_runs.sql", "19_weather_left_out.sql",
		"20_observations_used.sql", "20_wintry_observations.sql", "21_wintry_runs.sql", "22_storm_runs.sql", "23_flurries.sql",
		"24_declared_claims.sql", "25_storm_ids.sql", "26_storm_zones.sql",
		"27_severity_settings.sql", "27_severity_index.sql", "27_storm_depths.sql", "27_storm_edges.sql", "27_storm_phases.sql",
		"27_storm_readings.sql", "27_storm_sensed.sql", "27_storm_severity.sql", "28_storms.sql",
		"29_air_days.sql", "29_season_points.sql", "29_season_severity.sql", "29_storm_counts_by_gap.sql",
	))},
	{stretchPasses, slices.Concat(sqlSteps(
		"30_placed_passes.sql", "30_price_spans.sql", "31_pass_reaches.sql", "31_pass_storms.sql", "32_pass_weather.sql",
		"33_frost_spells.sql", "33_refreeze_spells.sql", "34_frosts.sql", "35_storm_passes.sql", "36_silent_storms.sql",
		"38_outside_reasons.sql", "39_gaps.sql",
	), []step{
		{table: "rounds", reads: []string{"storm_passes", "run"}, make: tally.FillRounds},
	})},
	{stretchTally, sqlSteps(
		"40_covered_shares.sql", "41_regains.sql", "42_treatments.sql", "43_round_gaps.sql", "44_coverage_strips.sql",
		"45_storm_routes.sql",
		"46_coverage_tenths.sql", "47_coverage.sql", "48_coverage_spans.sql", "50_outside_storms.sql",
		"51_ticket_weeks.sql", "52_reconciliation_sums.sql", "53_reconciliation.sql", "54_pass_corrections.sql",
		"54_truck_drifts.sql", "55_crew_storms.sql", "56_storm_routes_corrected.sql", "57_stock_book.sql", "58_stock_on_hand.sql",
	)},
	{stretchFindings, slices.Concat(sqlSteps(
		"59_account_findings.sql", "59_log_findings.sql", "60_findings.sql", "61_material_days.sql", "62_material_storms.sql",
		"64_station_silences.sql", "64_temperature_steps.sql", "65_weather_doubts.sql",
	), []step{
		{table: "weather_findings", reads: []string{"weather_doubts"}, make: tally.FillWeatherFindings},
	}, sqlSteps(
		"70_season_dates.sql", "71_solids.sql", "72_tallies.sql", "73_set_aside_trucks.sql", "74_frost_sums.sql",
		"75_crew_freezing.sql",
	))},
	{stretchVerdicts, slices.Concat(sqlSteps(
		"80_learning_rows.sql", "81_learning_rows_corrected.sql", "82_season_pounds.sql", "83_judged_passes.sql",
		"84_judged_treatments.sql", "85_comparison_routes.sql", "86_comparison_classes.sql", "87_comparison_zones.sql",
		"88_beside_salt_rows.sql",
	), []step{{
		table: "learning",
		also: []string{"learning_curves", "learning_residuals", "learning_orders", "learning_bases", "learning_fits",
			"learning_left_out", "season_verdicts", "beside_salt", "claims", "plans"},
		reads: []string{"learning_rows", "learning_rows_corrected", "beside_salt_rows", "season_pounds", "comparison_zones",
			"comparison_classes", "storms", "orders", "crew_storms", "as_of", "run"},
		make: verdicts.FillVerdicts,
	}}, sqlSteps("89_comparison.sql", "89_comparison_seasons.sql", "89_comparison_storms.sql", "89_route_switches.sql",
		"89_crew_parts.sql"), []step{
		{table: "withheld_parts", reads: []string{"crew_parts"}, make: release.FillWithheld},
	}, sqlSteps("89_storm_reasons.sql", "89_used_rates.sql"))},
	{stretchOutlook, []step{{
		table: "stock_outlook",
		also:  []string{"stock_fan"},
		reads: []string{"as_of", "stock_on_hand", "material_days", "material_storms", "storms", "run", "storm_passes", "assignments",
			"routes", "materials"},
		make: verdicts.FillStockOutlook,
	}}},
	{stretchMoney, sqlSteps(
		"90_pass_costs.sql", "91_costs.sql", "91_damage_assumptions.sql", "91_season_costs.sql", "92_break_even.sql",
		"92_chloride_kept_off.sql", "92_cost_sums.sql", "93_watershed_storms.sql", "94_passes_told.sql", "94_timing.sql",
		"94_timing_talk.sql", "94_watershed_seasons.sql", "94_whole_seasons.sql", "94_withheld_sums.sql",
	)},
	{stretchMoved, sqlSteps("95_moved_figures.sql", "95_since_last_night.sql")},
	{stretchGate, sqlSteps("96_fallen_seasons.sql", "96_lost_rows.sql", "96_gate_causes.sql")},
}

// sqlSteps gives the steps of query files, NN_TABLE.sql.
func sqlSteps(files ...string) []step {
	steps := make([]step, len(files))
	for i, file := range files {
		_, table, _ := strings.Cut(strings.TrimSuffix(file, ".sql"), "_")
		steps[i] = step{table: table, query: file}
	}
	return steps
}

// stepsOf gives the steps from the first stretch to the last, both included, in order.
func stepsOf(first, last stretch) (steps []step) {
	isWithin := false
	for _, part := range nightOrder {
		isWithin = isWithin || part.name == first
		if isWithin {
			steps = append(steps, part.steps...)
		}
		if part.name == last {
			break
		}
	}
	return steps
}

// walk runs the steps from the first stretch to the last, both included, in order.
func walk(ctx context.Context, l *ledger.Ledger, s *district.Settings, first, last stretch) error {
	for _, step := range stepsOf(first, last) {
		if err := step.run(ctx, l, s); err != nil {
			return err
		}
	}
	return nil
}

// run makes the step's tables.
func (s step) run(ctx context.Context, l *ledger.Ledger, settings *district.Settings) error {
	if s.query == "" {
		if err := s.make(ctx, l, settings); err != nil {
			return fmt.Errorf("%s: %w", s.table, err)
		}
		return nil
	}
	text, err := queries.FS.ReadFile(s.query)
	if err != nil {
		return err
	}
	if err := l.ClearFor(ctx, string(text)); err != nil {
		return fmt.Errorf("query %s: %w", s.query, err)
	}
	if err := l.Exec(ctx, string(text)); err != nil {
		return fmt.Errorf("query %s: %w", s.query, err)
	}
	return nil
}
