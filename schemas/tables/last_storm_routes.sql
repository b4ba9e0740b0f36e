-- last_storm_routes: what each route got in each storm, as the live release has it.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   -
-- units:   applied_lb pound; rate_lb_per_lane_mi, storm_lb_per_lane_mi pound per lane-mile
-- empty:   the table, while nothing is published
-- formula: -
create or replace table last_storm_routes (
    storm_id varchar,
    route_id varchar,
    material_class varchar,
    form varchar,
    applied_lb double,
    rate_lb_per_lane_mi double,
    storm_lb_per_lane_mi double,
    applications double
);
