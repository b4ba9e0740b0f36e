-- storm_edges: what the stations of a zone reported just before a storm, in its last hours and
--          after it.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, observations_used, stations, present_wx_codes, severity_settings
-- units:   sums over that many reports: surface_uf and air_uf millionth of a degree Fahrenheit,
--          wind_umph millionth of a mile per hour
-- empty:   a sum that no station reported; a zone without any report from before to after has no
--          row
-- formula: definitions, "Storms", severity: Bi from reports in [began_at - 3 h, began_at), Tp from
--          those in [ended_at - 3 h, ended_at] and in (ended_at, ended_at + 12 h], Wp from the
--          latter
create or replace table storm_edges as
with spans as (
    select
        storm_zones.storm_id,
        storm_zones.zone_id,
        epoch_us(storm_zones.began_at) as began_us,
        epoch_us(storm_zones.ended_at) as ended_us,
        epoch_us(storm_zones.began_at)
            - cast(settings.before_h * 3600000000 as bigint) as before_us,
        epoch_us(storm_zones.ended_at) - cast(settings.last_h * 3600000000 as bigint) as last_us,
        epoch_us(storm_zones.ended_at) + cast(settings.after_h * 3600000000 as bigint) as after_us
    from storm_zones
    cross join severity_settings as settings
),
days as (
    select *, unnest(range(least(before_us, last_us) // 86400000000, after_us // 86400000000 + 1))
        as day_no
    from spans
),
placed as (
    select
        days.storm_id,
        days.zone_id,
        coalesce(codes.has_rain, false) as has_rain,
        cast(observations_used.surface_f * 1e6 as bigint) as surface_uf,
        cast(observations_used.air_f * 1e6 as bigint) as air_uf,
        cast(observations_used.wind_mph * 1e6 as bigint) as wind_umph,
        epoch_us(observations_used.observed_at) < began_us
            and epoch_us(observations_used.observed_at) >= before_us as is_before,
        epoch_us(observations_used.observed_at) <= ended_us
            and epoch_us(observations_used.observed_at) >= last_us as is_last,
        epoch_us(observations_used.observed_at) > ended_us as is_after
    from observations_used
    inner join stations using (station_id)
    inner join days
        on days.zone_id = stations.zone_id
        and days.day_no = epoch_us(observations_used.observed_at) // 86400000000
        and epoch_us(observations_used.observed_at) between least(days.before_us, days.last_us)
            and days.after_us
    left join present_wx_codes as codes using (present_wx)
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
