-- last_storm_routes: what each route got in each storm, as the live release has it.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   -
-- units:   treated_lane_miles lane-mile; applied_lb, prewet_lb, chloride_lb pound;
--          rate_lb_per_lane_mi, storm_lb_per_lane_mi pound per lane-mile; treating_passes,
--          plow_passes pass; regain_h hour; cost_usd US dollar
-- empty:   the table, while nothing is published
-- formula: -
create or replace table last_storm_routes (
    storm_id varchar,
    zone_id varchar,
    route_id varchar,
    material_class varchar,
    form varchar,
    treated_lane_miles double,
    applied_lb double,
    prewet_lb double,
    rate_lb_per_lane_mi double,
    storm_lb_per_lane_mi double,
    applications double,
    rounds bigint,
    treating_passes bigint,
    plow_passes bigint,
    first_application_at timestamptz,
    regain_h double,
    regain_state varchar,
    chloride_lb double,
    cost_usd double
);
