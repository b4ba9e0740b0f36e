-- storms: every storm in every zone, with its measures.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, storm_phases, observations_used, stations, as_of, run
-- units:   hours, snow_h, freezing_h, sleet_h hour; precip_in inch; temperatures degree Fahrenheit; wind mile per hour
-- empty:   a measure that no station of the zone reported in the interval; snow_h, freezing_h, sleet_h in a zone without a station;
--          both severities
-- formula: definitions, "Storms"
create or replace table storms as
with reports as (
    select
        stations.zone_id,
        observations_used.station_id,
        observations_used.observed_at,
        observations_used.air_f,
        observations_used.surface_f,
        observations_used.wind_mph,
        cast(round_even(observations_used.air_f * 1e6, 0) as bigint) as air_uf,
        cast(round_even(observations_used.precip_in * 1e6, 0) as bigint) as precip_uin
    from observations_used
    inner join stations on stations.station_id = observations_used.station_id
),
by_station as (
    select
        storm_zones.storm_id,
        storm_zones.zone_id,
        reports.station_id,
        sum(reports.precip_uin) as precip_uin,
        sum(reports.air_uf) as air_uf,
        count(reports.air_uf) as air_reports,
        min(reports.air_f) as air_f_min,
        min(reports.surface_f) as surface_f_min,
        max(reports.wind_mph) as wind_mph_max
    from storm_zones
    inner join reports
        on reports.zone_id = storm_zones.zone_id
        and reports.observed_at between storm_zones.began_at and storm_zones.ended_at
    group by storm_zones.storm_id, storm_zones.zone_id, reports.station_id
),
by_zone as (
    select
        storm_id,
        zone_id,
        sum(precip_uin) / nullif(count(precip_uin), 0) / 1e6 as precip_in,
        sum(air_uf) / nullif(sum(air_reports), 0) / 1e6 as air_f_mean,
        min(air_f_min) as air_f_min,
        min(surface_f_min) as surface_f_min,
        max(wind_mph_max) as wind_mph_max
    from by_station
    group by storm_id, zone_id
),
dated as (
    select
        storm_zones.*,
        epoch_us(storm_zones.ended_at) - epoch_us(storm_zones.began_at) as length_us,
        epoch_us(storm_zones.ended_at) > epoch_us(as_of.as_of_at) - run.storm_gap_h * 3600000000 as is_open,
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
    by_zone.precip_in,
    by_zone.air_f_mean,
    by_zone.air_f_min,
    by_zone.surface_f_min,
    by_zone.wind_mph_max,
    cast(null as double) as severity_storm,
    cast(null as double) as severity,
    dated.run_began_at
from dated
inner join storm_phases
    on storm_phases.storm_id = dated.storm_id and storm_phases.zone_id = dated.zone_id
left join by_zone
    on by_zone.storm_id = dated.storm_id and by_zone.zone_id = dated.zone_id
order by storm_id, zone_id;
