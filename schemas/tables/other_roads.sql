-- other_roads: roads that are no routes, as read from reference/other_roads.geojson.
-- grain:   one row per road_no
-- reads:   -
-- units:   road_no number of the line in the file
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table other_roads (
    road_no double not null,
    points varchar not null
);
