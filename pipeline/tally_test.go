package pipeline

import (
	"context"
	"io/fs"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/schemas"
)

// feedDDL is the DDL of the tables of rows in force, with the columns that the tally reads.
const feedDDL = `
create sequence if not exists pass_numbers;
create or replace table passes (pass_no bigint default nextval('pass_numbers'), pass_key varchar, pass_id varchar, truck_id varchar,
    crew_id varchar, route_id varchar,
    began_at timestamptz, ended_at timestamptz, from_mi double, to_mi double, lanes double, lane_miles double,
    material_id varchar, rate_set_lb_per_lane_mi double, dispensed_lb double, dispensed_gal double, prewet_gal double,
    points bigint, matched_share double, confidence double,
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
create or replace table set_aside (truck_id varchar, reason_code varchar, "rows" bigint, dispensed_lb double,
    first_at timestamptz, last_at timestamptz);
create or replace table as_of (as_of_at timestamptz);
create or replace table feed_ends (feed varchar, until_at timestamptz, behind_h double, stale_h double, is_stale boolean);
create or replace table file_findings (finding_code varchar, subject_kind varchar, subject_id varchar, amount double, unit varchar);
create or replace table position_findings (finding_code varchar, subject_kind varchar, subject_id varchar, since_at timestamptz,
    amount double, unit varchar,
    other_amount double, other_unit varchar, share_pct double, name varchar, other_name varchar, from_at timestamptz, to_at timestamptz,
    other_from_at timestamptz, other_to_at timestamptz);
create or replace table station_clocks (station_id varchar, others_at timestamptz, latest_at timestamptz, reports_ahead bigint,
    from_at timestamptz);
create or replace table report_doubts (station_id varchar, from_at timestamptz, to_at timestamptz, finding_code varchar,
    amount bigint, unit varchar);`

// testSettings are the defaults, in a time zone.
func testSettings(timeZone string) *district.Settings {
	settings := district.DefaultSettings()
	location, err := time.LoadLocation(timeZone)
	if err != nil {
		panic(err)
	}
	settings.TimeZone, settings.Location = timeZone, location
	return settings
}

// createLoaded makes the tables that loading leaves and those of rows in force, empty, and the one row of run with its defaults and the
// time zone.
func createLoaded(ctx context.Context, t *testing.T, l *ledger.Ledger, timeZone string) {
	t.Helper()
	require.NoError(t, fillLoaded(ctx, l, timeZone))
	require.NoError(t, l.Exec(ctx, feedDDL))
}

// fillLoaded makes the tables that loading leaves, empty, and the one row of run.
func fillLoaded(ctx context.Context, l *ledger.Ledger, timeZone string) error {
	files, err := fs.Glob(schemas.FS, "tables/*.sql")
	if err != nil {
		return err
	}
	for _, file := range files {
		ddl, err := schemas.FS.ReadFile(file)
		if err != nil {
			return err
		}
		if err := l.Exec(ctx, string(ddl)); err != nil {
			return err
		}
	}
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(district.RunColumns())), ", ")
	if err := ledger.AppendTable(ctx, l, "code_words", rows.AllCodeWords()); err != nil {
		return err
	}
	return l.Exec(ctx, "insert into run ("+strings.Join(district.RunColumns(), ", ")+") values ("+marks+")",
		testSettings(timeZone).RunValues()...)
}

// tallyAll runs every step between the rows in force and the exports.
func tallyAll(ctx context.Context, l *ledger.Ledger) error {
	if err := l.Exec(ctx, "create table if not exists rows_told (status varchar, fault_code varchar, fault_found varchar)"); err != nil {
		return err
	}
	return walk(ctx, l, testSettings("America/Denver"), stretchStorms, stretchMoney)
}

func TestTallyRunsOnNothing(t *testing.T) {
	l := openTestLedger(t)
	createLoaded(t.Context(), t, l, "America/Denver")
	require.NoError(t, tallyAll(t.Context(), l))
}
