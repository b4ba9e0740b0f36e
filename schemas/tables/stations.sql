-- stations: weather stations, as read from reference/stations.csv.
-- grain:   one row per station_id
-- reads:   -
-- units:   lat degree; lon degree; elevation_ft foot
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table stations (
    station_id varchar not null,
    zone_id varchar not null,
    name varchar,
    lat double,
    lon double,
    elevation_ft double
);
