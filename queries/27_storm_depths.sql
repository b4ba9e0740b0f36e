-- storm_depths: how much the snow on the ground grew during a storm, at each station that reports
--          its depth.
-- grain:   one row per storm_id, zone_id, station_id
-- reads:   storm_zones, observations, stations, severity_settings
-- units:   snow_uin millionth of an inch; depths a number of reports
-- empty:   a station with fewer than two depths that bound or lie in the storm has no row
-- formula: definitions, "Storms", severity: inches from depth differences: the rises from each
--          depth to the next, a fall counts 0. The depths are those in the storm, the last at most
--          6 h before it and the first at most 6 h after it, where none lies on its bounds
create or replace table storm_depths as
with reports as (
    select
        stations.zone_id,
        observations.station_id,
        epoch_us(observations.observed_at) as observed_us,
        cast(observations.snow_depth_in * 1e6 as bigint) as depth_uin
    from observations
    inner join stations using (station_id)
    where observations.snow_depth_in is not null
),
near as (
    select
        storm_zones.storm_id,
        storm_zones.zone_id,
        reports.station_id,
        reports.observed_us,
        reports.depth_uin,
        epoch_us(storm_zones.began_at) as began_us,
        epoch_us(storm_zones.ended_at) as ended_us
    from storm_zones
    cross join severity_settings as settings
    inner join reports
        on reports.zone_id = storm_zones.zone_id
        and reports.observed_us >= epoch_us(storm_zones.began_at) - settings.depth_h * 3600000000
        and reports.observed_us <= epoch_us(storm_zones.ended_at) + settings.depth_h * 3600000000
),
bounded as (
    select
        *,
        max(observed_us) filter (where observed_us <= began_us) over of_station as first_us,
        min(observed_us) filter (where observed_us >= ended_us) over of_station as last_us
    from near
    window of_station as (partition by storm_id, zone_id, station_id)
),
stepped as (
    select
        storm_id,
        zone_id,
        station_id,
        depth_uin,
        depth_uin - lag(depth_uin) over (
            partition by storm_id, zone_id, station_id order by observed_us
        ) as rise_uin
    from bounded
    where observed_us >= coalesce(first_us, began_us) and observed_us <= coalesce(last_us, ended_us)
)
select
    storm_id,
    zone_id,
    station_id,
    sum(greatest(coalesce(rise_uin, 0), 0)) as snow_uin,
    count(*) as depths
from stepped
group by storm_id, zone_id, station_id
having count(*) >= 2
order by storm_id, zone_id, station_id;
