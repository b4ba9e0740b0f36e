-- zones: weather zones, as read from reference/zones.csv.
-- grain:   one row per zone_id
-- reads:   -
-- units:   -
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table zones (
    zone_id varchar not null,
    name varchar not null,
    district_id varchar not null
);
