package pipeline

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/schemas"
)

// feedDDL is the DDL of the tables of rows in force, with the columns that the tally reads.
const feedDDL = `
create sequence if not exists pass_numbers;
create or replace table passes (pass_no bigint default nextval('pass_numbers'), pass_key varchar, pass_id varchar, truck_id varchar, crew_id varchar, route_id varchar,
    began_at timestamptz, ended_at timestamptz, from_mi double, to_mi double, lanes double, lane_miles double,
    material_id varchar, rate_set_lb_per_lane_mi double, dispensed_lb double, dispensed_gal double, prewet_gal double,
    prewet_material_id varchar, plow_down boolean, purpose varchar, gate_in double, spinner_setting double,
    speed_mph double, note varchar, feed varchar, file varchar, line bigint);
create or replace table observations (station_id varchar, observed_at timestamptz, air_f double, surface_f double,
    dew_f double, wind_mph double, gust_mph double, wind_deg double, visibility_mi double, precip_in double,
    precip_is_trace boolean, present_wx varchar, snow_depth_in double, file varchar, line bigint);
create or replace table conditions (route_id varchar, observed_at timestamptz, cover varchar, friction double,
    file varchar, line bigint);
create or replace table tickets (ticket_id varchar, loaded_at timestamptz, truck_id varchar, stockpile_id varchar,
    material_id varchar, loaded_lb double, returned_lb double, file varchar, line bigint);
create or replace table stock (stockpile_id varchar, material_id varchar, "at" timestamptz, kind varchar, amount_lb double,
    file varchar, line bigint);
create or replace table set_aside (truck_id varchar, reason varchar, "rows" bigint, dispensed_lb double,
    first_at timestamptz, last_at timestamptz);
create or replace table as_of (as_of_at timestamptz);
create or replace table position_findings (finding_code varchar, subject_kind varchar, subject_id varchar, since_at timestamptz, amount double, unit varchar,
    other_amount double, other_unit varchar, share_pct double, name varchar, other_name varchar, from_at timestamptz, to_at timestamptz,
    other_from_at timestamptz, other_to_at timestamptz);
create or replace table station_clocks (station_id varchar, others_at timestamptz, latest_at timestamptz, reports_ahead bigint,
    from_at timestamptz);
create or replace table report_doubts (station_id varchar, from_at timestamptz, to_at timestamptz, finding_code varchar,
    amount bigint, unit varchar);`

// createLoaded makes the tables that loading leaves, empty, and the one row of run with its defaults and the time zone.
func createLoaded(ctx context.Context, t *testing.T, l *Ledger, timeZone string) {
	t.Helper()
	require.NoError(t, l.Exec(ctx, feedDDL))
	names := []string{"run", "severity_classes", "budgets", "damage_costs"}
	for _, name := range ReferenceNames {
		names = append(names, referenceTableName(name))
	}
	for _, name := range names {
		ddl, err := schemas.FS.ReadFile("tables/" + name + ".sql")
		require.NoError(t, err)
		require.NoError(t, l.Exec(ctx, string(ddl)))
	}
	settings := defaultSettings()
	settings.TimeZone = timeZone
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(RunColumns())), ", ")
	require.NoError(t, l.Exec(ctx, "insert into run ("+strings.Join(RunColumns(), ", ")+") values ("+marks+")",
		settings.RunValues()...))
}

// tally runs every step between loading and the exports.
func tally(ctx context.Context, l *Ledger) error {
	if err := fillPresentWxCodes(ctx, l); err != nil {
		return err
	}
	if err := l.runQueries(ctx, "19", "39"); err != nil {
		return err
	}
	if err := fillRounds(ctx, l); err != nil {
		return err
	}
	for _, span := range [][2]string{{"40", "70"}, {"85", "87"}, {"90", "94"}} {
		if err := l.runQueries(ctx, span[0], span[1]); err != nil {
			return err
		}
	}
	return nil
}

// tallyQueries names every query from storms to pages and accounts that has cases worked by hand.
func tallyQueries(t *testing.T) []string {
	t.Helper()
	names, err := queryFiles("19", "70")
	require.NoError(t, err)
	accounts, err := queryFiles("90", "94")
	require.NoError(t, err)
	return append(names, accounts...)
}

func TestTallyRunsOnNothing(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tally(t.Context(), l))
}
