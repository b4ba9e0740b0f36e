-- storm_sensed: what the severity classes of every storm in every zone are read from.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, storm_phases, storm_readings, storm_edges, storm_depths, severity_settings
-- units:   snow_in inch, in storms longer than 24 h per 24 h; ti_f degree Fahrenheit; tp_f degree
--          Fahrenheit, after the storm less its last hours; wi_mph, wp_mph mile per hour
-- empty:   a measure without data; a dry zone, where no storm fell, has no row
-- formula: definitions, "Storms", severity. Where snow, freezing and sleet hours are all 0, nothing
--          is a third of them: not icing. Surface temperatures count where the zone has them, for
--          Tp on both sides, else air temperatures. Means are rounded to a millionth, so that a
--          mean on a class boundary is on it
create or replace table storm_sensed as
with depths as (
    select storm_id, zone_id, sum(snow_uin) / count(*) as snow_uin
    from storm_depths
    group by storm_id, zone_id
),
measured as (
    select
        storm_zones.storm_id,
        storm_zones.zone_id,
        phases.freezing_us + phases.sleet_us > 0
            and (phases.freezing_us + phases.sleet_us) * settings.icing_one_in
                >= phases.snow_us + phases.freezing_us + phases.sleet_us as is_icing,
        coalesce(
            depths.snow_uin,
            settings.snow_per_water * readings.precip_uin / nullif(readings.precip_stations, 0)
        ) * settings.snow_span_h / greatest(
            (epoch_us(storm_zones.ended_at) - epoch_us(storm_zones.began_at)) / 3.6e9,
                settings.snow_span_h
        ) as snow_uin,
        coalesce(
            readings.surface_uf / nullif(readings.surface_reports, 0),
                readings.air_uf / nullif(readings.air_reports, 0)
        ) as ti_uf,
        readings.wind_umph / nullif(readings.wind_reports, 0) as wi_umph,
        case when edges.before_reports > 0 then case when edges.has_rain_before then 'rain'
            else 'snow' end end as bi,
        coalesce(
            edges.after_surface_uf / nullif(edges.after_surface_reports, 0)
                - edges.last_surface_uf / nullif(edges.last_surface_reports, 0),
            edges.after_air_uf / nullif(edges.after_air_reports, 0)
                - edges.last_air_uf / nullif(edges.last_air_reports, 0)
        ) as tp_uf,
        edges.after_wind_umph / nullif(edges.after_wind_reports, 0) as wp_umph
    from storm_zones
    cross join severity_settings as settings
    inner join storm_phases as phases using (storm_id, zone_id)
    left join storm_readings as readings using (storm_id, zone_id)
    left join storm_edges as edges using (storm_id, zone_id)
    left join depths using (storm_id, zone_id)
    where not storm_zones.is_dry
)
select
    storm_id,
    zone_id,
    is_icing,
    bi,
    round_even(snow_uin, 0) / 1e6 as snow_in,
    round_even(ti_uf, 0) / 1e6 as ti_f,
    round_even(wi_umph, 0) / 1e6 as wi_mph,
    round_even(tp_uf, 0) / 1e6 as tp_f,
    round_even(wp_umph, 0) / 1e6 as wp_mph
from measured
order by storm_id, zone_id;
