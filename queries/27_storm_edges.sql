-- storm_edges: what the stations of a zone reported just before a storm, in its last hours and after it.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, observations_used, stations, present_wx_codes, severity_classes
-- units:   sums over that many reports: surface_uf and air_uf millionth of a degree Fahrenheit, wind_umph millionth of a mile per hour
-- empty:   a sum that no station reported; a zone without any report from before to after has no row
-- formula: definitions, "Storms", severity: Bi from reports in [began_at - 3 h, began_at), Tp from those in [ended_at - 3 h, ended_at]
--          and in (ended_at, ended_at + 12 h], Wp from the latter
create or replace table storm_edges as
with settings as (
    select
        cast(max(value) filter (where class = 'before_h') * 3600000000 as bigint) as before_us,
        cast(max(value) filter (where class = 'last_h') * 3600000000 as bigint) as last_us,
        cast(max(value) filter (where class = 'after_h') * 3600000000 as bigint) as after_us
    from severity_classes
    where factor = 'setting'
),
reports as (
    select
        stations.zone_id,
        epoch_us(observations_used.observed_at) as observed_us,
        coalesce(codes.has_rain, false) as has_rain,
        cast(round_even(observations_used.surface_f * 1e6, 0) as bigint) as surface_uf,
        cast(round_even(observations_used.air_f * 1e6, 0) as bigint) as air_uf,
        cast(round_even(observations_used.wind_mph * 1e6, 0) as bigint) as wind_umph
    from observations_used
    inner join stations on stations.station_id = observations_used.station_id
    left join present_wx_codes as codes on codes.present_wx = observations_used.present_wx
),
spans as (
    select
        storm_zones.storm_id,
        storm_zones.zone_id,
        epoch_us(storm_zones.began_at) as began_us,
        epoch_us(storm_zones.ended_at) as ended_us,
        settings.before_us,
        settings.last_us,
        settings.after_us
    from storm_zones
    cross join settings
),
placed as (
    select
        spans.storm_id,
        spans.zone_id,
        reports.*,
        reports.observed_us < spans.began_us and reports.observed_us >= spans.began_us - spans.before_us as is_before,
        reports.observed_us <= spans.ended_us and reports.observed_us >= spans.ended_us - spans.last_us as is_last,
        reports.observed_us > spans.ended_us as is_after
    from reports
    inner join spans
        on spans.zone_id = reports.zone_id
        and reports.observed_us >= least(spans.began_us - spans.before_us, spans.ended_us - spans.last_us)
        and reports.observed_us <= spans.ended_us + spans.after_us
)
select
    storm_id,
    zone_id,
    count(*) filter (where is_before) as before_reports,
    coalesce(bool_or(has_rain) filter (where is_before), false) as has_rain_before,
    sum(surface_uf) filter (where is_last) as last_surface_uf,
    count(surface_uf) filter (where is_last) as last_surface_reports,
    sum(air_uf) filter (where is_last) as last_air_uf,
    count(air_uf) filter (where is_last) as last_air_reports,
    sum(surface_uf) filter (where is_after) as after_surface_uf,
    count(surface_uf) filter (where is_after) as after_surface_reports,
    sum(air_uf) filter (where is_after) as after_air_uf,
    count(air_uf) filter (where is_after) as after_air_reports,
    sum(wind_umph) filter (where is_after) as after_wind_umph,
    count(wind_umph) filter (where is_after) as after_wind_reports
from placed
group by storm_id, zone_id
order by storm_id, zone_id;
