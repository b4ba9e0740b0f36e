-- observations: the weather observations in force: of each key the row that was accepted, or its latest correction.
-- grain:   one row per station_id, observed_at
-- reads:   observations_told
-- units:   air_f degree Fahrenheit; surface_f degree Fahrenheit; dew_f degree Fahrenheit; wind_mph mile per hour; gust_mph mile per hour; wind_deg degree; visibility_mi mile; precip_in inch; snow_depth_in inch
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null; a trace has precip_in 0 and precip_is_trace
-- formula: contracts, "Order decides, not arrival"
create or replace table observations as
select
    station_id,
    observed_at,
    air_f,
    surface_f,
    dew_f,
    wind_mph,
    gust_mph,
    wind_deg,
    visibility_mi,
    precip_in,
    precip_is_trace,
    present_wx,
    snow_depth_in,
    file,
    line
from observations_told
where is_in_force
order by station_id, observed_at;
