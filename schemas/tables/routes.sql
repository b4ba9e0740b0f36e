-- routes: routes, as read from reference/routes.csv.
-- grain:   one row per route_id
-- reads:   -
-- units:   from_mi mile; to_mi mile; lanes lane; lanes_per_pass lane; lane_miles lane-mile;
--          bridge_lane_miles lane-mile; traffic_aadt vehicle per day
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table routes (
    route_id varchar not null,
    name varchar not null,
    zone_id varchar not null,
    from_mi double,
    to_mi double,
    lanes double,
    lanes_per_pass double not null,
    lane_miles double not null,
    bridge_lane_miles double,
    traffic_aadt double,
    watershed varchar,
    one_way boolean
);
