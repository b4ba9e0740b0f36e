-- storms: every storm in every zone, with its measures.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, storm_phases, storm_readings, storm_severity, as_of, run
-- units:   hours, snow_h, freezing_h, sleet_h hour; precip_in inch; temperatures degree Fahrenheit;
--          wind mile per hour; severity and severity_storm 0 to 1
-- empty:   a measure that no station of the zone reported in the interval; snow_h, freezing_h,
--          sleet_h in a zone without a station; a severity whose classes lack data, as
--          storm_severity says
-- formula: definitions, "Storms"
create or replace table storms as
with dated as (
    select
        storm_zones.*,
        epoch_us(storm_zones.ended_at) - epoch_us(storm_zones.began_at) as length_us,
        epoch_us(storm_zones.ended_at) > epoch_us(as_of.as_of_at) - run.storm_gap_h
            * 3600000000 as is_open,
        year(timezone(run.time_zone, storm_zones.run_began_at) - interval 6 month) as first_year
    from storm_zones
    cross join run
    cross join as_of
)
select
    printf('%d-%02d', dated.first_year, (dated.first_year + 1) % 100) as season,
    dated.storm_id,
    dated.district_id,
    dated.zone_id,
    dated.began_at,
    dated.ended_at,
    dated.length_us / 3.6e9 as hours,
    coalesce(dated.is_open, false) as is_open,
    dated.is_declared,
    storm_phases.kind,
    storm_phases.snow_us / nullif(storm_phases.stations, 0) / 3.6e9 as snow_h,
    storm_phases.freezing_us / nullif(storm_phases.stations, 0) / 3.6e9 as freezing_h,
    storm_phases.sleet_us / nullif(storm_phases.stations, 0) / 3.6e9 as sleet_h,
    storm_readings.precip_uin / nullif(storm_readings.precip_stations, 0) / 1e6 as precip_in,
    storm_readings.air_uf / nullif(storm_readings.air_reports, 0) / 1e6 as air_f_mean,
    storm_readings.air_f_min,
    storm_readings.surface_f_min,
    storm_readings.wind_mph_max,
    storm_severity.severity_storm,
    storm_severity.severity,
    dated.run_began_at
from dated
inner join storm_phases using (storm_id, zone_id)
left join storm_readings using (storm_id, zone_id)
left join storm_severity using (storm_id, zone_id)
order by storm_id, zone_id;
