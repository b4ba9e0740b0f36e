-- route_lines: route lines, as read from reference/route_lines.geojson.
-- grain:   one row per route_id
-- reads:   -
-- units:   -
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table route_lines (
    route_id varchar not null,
    points varchar not null
);
