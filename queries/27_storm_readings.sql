-- storm_readings: what the stations of a zone measured while a storm was on it.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, observations_used, stations
-- units:   precip_uin millionth of an inch, sum over the precip_stations that report it; air_uf,
--          surface_uf millionth of a degree Fahrenheit and wind_umph millionth of a mile per hour,
--          sums over that many reports; air_f_min, surface_f_min degree Fahrenheit; wind_mph_max
--          mile per hour
-- empty:   a sum, minimum or maximum that no station reported; a zone without any report in the
--          interval has no row
-- formula: definitions, "Storms", precip_in to wind_mph_max
create or replace table storm_readings as
with days as (
    select storm_id, zone_id, began_at, ended_at,
        unnest(range(epoch_us(began_at) // 86400000000, epoch_us(ended_at) // 86400000000 + 1))
        as day_no
    from storm_zones
),
reports as (
    select
        days.storm_id,
        days.zone_id,
        observations_used.station_id,
        observations_used.air_f,
        observations_used.surface_f,
        observations_used.wind_mph,
        cast(observations_used.air_f * 1e6 as bigint) as air_uf,
        cast(observations_used.surface_f * 1e6 as bigint) as surface_uf,
        cast(observations_used.wind_mph * 1e6 as bigint) as wind_umph,
        cast(observations_used.precip_in * 1e6 as bigint) as precip_uin
    from observations_used
    inner join stations using (station_id)
    inner join days
        on days.zone_id = stations.zone_id
        and days.day_no = epoch_us(observations_used.observed_at) // 86400000000
        and observations_used.observed_at between days.began_at and days.ended_at
)
select
    storm_id,
    zone_id,
    sum(precip_uin) as precip_uin,
    count(distinct station_id) filter (where precip_uin is not null) as precip_stations,
    sum(air_uf) as air_uf,
    count(air_uf) as air_reports,
    sum(surface_uf) as surface_uf,
    count(surface_uf) as surface_reports,
    sum(wind_umph) as wind_umph,
    count(wind_umph) as wind_reports,
    min(air_f) as air_f_min,
    min(surface_f) as surface_f_min,
    max(wind_mph) as wind_mph_max
from reports
group by storm_id, zone_id
order by storm_id, zone_id;
