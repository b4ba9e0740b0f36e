-- raw_weather: the delivered rows of weather, as delivered and as read.
-- grain:   one row per sha256, line
-- reads:   -
-- units:   raw the row's bytes as delivered; observed_at instant; air_f degree Fahrenheit;
--          surface_f degree Fahrenheit; dew_f degree Fahrenheit; wind_mph mile per hour; gust_mph
--          mile per hour; wind_deg degree; visibility_mi mile; precip_in inch; snow_depth_in inch
--          hour_precip_in, snow_rise_in, ice_in inch; report_day day of the month; report_minute
--          minute of the UTC day
-- empty:   a content without rows has none here; a cell that is empty or at fault is null; from
--          report_kind on, and precip_in the other way round, a row of a table has none; a raw
--          report has report_day and report_minute or observed_at
-- formula: -
create or replace table raw_weather (
    sha256 varchar not null,
    line bigint not null,
    raw blob not null,
    fault_column varchar,
    fault_code varchar,
    fault_found varchar,
    fault_wanted varchar,
    station_id varchar,
    observed_at timestamptz,
    air_f double,
    surface_f double,
    dew_f double,
    wind_mph double,
    gust_mph double,
    wind_deg double,
    visibility_mi double,
    precip_in double,
    present_wx varchar,
    snow_depth_in double,
    precip_is_trace boolean,
    report_kind varchar,
    is_correction boolean,
    report_day double,
    report_minute double,
    carries_wind boolean,
    carries_visibility boolean,
    carries_temperature boolean,
    hour_precip_in double,
    hour_is_trace boolean,
    report_events varchar,
    snow_rise_in double,
    ice_in double,
    is_freezing_out boolean,
    is_weather_out boolean,
    is_gauge_out boolean
);
