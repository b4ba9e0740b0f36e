-- last_storms: the storms of the live release, as its export has them.
-- grain:   one row per storm_id, zone_id
-- reads:   -
-- units:   hours hour; precip_in inch; surface_f_min degree Fahrenheit
-- empty:   the table, while nothing is published
-- formula: -
create or replace table last_storms (
    storm_id varchar,
    zone_id varchar,
    began_at timestamptz,
    ended_at timestamptz,
    hours double,
    kind varchar,
    precip_in double,
    surface_f_min double,
    severity double
);
