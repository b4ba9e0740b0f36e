package pipeline

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// loadedDDL is the DDL of the tables that loading leaves, with the columns that the tally reads.
const loadedDDL = `
create or replace table passes (pass_key varchar, pass_id varchar, truck_id varchar, crew_id varchar, route_id varchar,
    began_at timestamptz, ended_at timestamptz, from_mi double, to_mi double, lanes double, lane_miles double,
    material_id varchar, rate_set_lb_per_lane_mi double, dispensed_lb double, dispensed_gal double, prewet_gal double,
    prewet_material_id varchar, plow_down boolean, purpose varchar, gate_in double, spinner_setting double,
    speed_mph double, note varchar, file varchar, line bigint);
create or replace table observations (station_id varchar, observed_at timestamptz, air_f double, surface_f double,
    dew_f double, wind_mph double, gust_mph double, wind_deg double, visibility_mi double, precip_in double,
    precip_is_trace boolean, present_wx varchar, snow_depth_in double, file varchar, line bigint);
create or replace table conditions (route_id varchar, observed_at timestamptz, cover varchar, friction double,
    file varchar, line bigint);
create or replace table set_aside (truck_id varchar, reason varchar, "rows" bigint, dispensed_lb double,
    first_at timestamptz, last_at timestamptz);
create or replace table as_of (as_of_at timestamptz);
create or replace table zones (zone_id varchar, name varchar, district_id varchar);
create or replace table stations (station_id varchar, zone_id varchar, name varchar, lat double, lon double,
    elevation_ft double);
create or replace table routes (route_id varchar, name varchar, zone_id varchar, from_mi double, to_mi double,
    lanes double, lanes_per_pass double, lane_miles double, bridge_lane_miles double, traffic_aadt double,
    watershed varchar);
create or replace table crews (crew_id varchar, label varchar, prior_acetate_storms double, members varchar);
create or replace table materials (material_id varchar, name varchar, class varchar, form varchar,
    bulk_density_lb_ft3 double, dry_lb_per_gal double, chloride_fraction double, lowest_working_f double,
    oxygen_demand_lb_per_lb double);
create or replace table prices (material_id varchar, from_date date, usd_per_ton double);
create or replace table declared_storms (zone_id varchar, began_at timestamptz, ended_at timestamptz, name varchar);
create or replace table run as select 'America/Denver' as time_zone, 6.0::double as storm_gap_h,
    12.0::double as pretreat_h, 48.0::double as pretreat_liquid_h, 12.0::double as cleanup_h,
    36.0::double as cleanup_plow_h, 120.0::double as round_gap_min, 20.0::double as wind_caution_mph,
    48.0::double as regain_cap_h, 1.0::double as learning_min_lane_mi;`

// tally runs every step between loading and the exports.
func tally(ctx context.Context, l *Ledger) error {
	if err := fillPresentWxCodes(ctx, l); err != nil {
		return err
	}
	if err := l.runQueries(ctx, "20", "39"); err != nil {
		return err
	}
	if err := fillRounds(ctx, l); err != nil {
		return err
	}
	return l.runQueries(ctx, "40", "70")
}

func TestTallyRunsOnNothing(t *testing.T) {
	l := openTestLedger(t)
	require.NoError(t, l.Exec(t.Context(), loadedDDL))
	require.NoError(t, tally(t.Context(), l))
}
