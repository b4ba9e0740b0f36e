-- storm_phases: how long it snowed, froze and sleeted in each zone of a storm, and what kind of
--          storm that makes.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_zones, wintry_runs, stations
-- units:   snow_us, freezing_us and sleet_us station-microsecond; stations a number
-- empty:   sums are 0 where the zone had no such observation
-- formula: definitions, "Storms", snow_h and kind. A declared storm counts the wintry observations
--          in its own interval; where it has none it is unclassed, since only weather makes a zone
--          dry
create or replace table storm_phases as
with counted as (
    select zone_id, count(*) as stations
    from stations
    group by zone_id
),
weighed as (
    select
        storm_zones.storm_id,
        storm_zones.zone_id,
        storm_zones.is_dry,
        coalesce(sum(weight_us) filter (where phase = 'snow'), 0) as snow_us,
        coalesce(sum(weight_us) filter (where phase = 'freezing'), 0) as freezing_us,
        coalesce(sum(weight_us) filter (where phase = 'sleet'), 0) as sleet_us
    from storm_zones
    left join wintry_runs
        on wintry_runs.zone_id = storm_zones.zone_id
        and wintry_runs.observed_at between storm_zones.began_at and storm_zones.ended_at
        and (storm_zones.is_declared or wintry_runs.run_began_at = storm_zones.run_began_at)
    group by storm_zones.storm_id, storm_zones.zone_id, storm_zones.is_dry
)
select
    weighed.storm_id,
    weighed.zone_id,
    weighed.snow_us,
    weighed.freezing_us,
    weighed.sleet_us,
    coalesce(counted.stations, 0) as stations,
    case
        when is_dry then 'dry'
        when snow_us + freezing_us + sleet_us = 0 then 'unclassed'
        when 2 * freezing_us >= 3600000000 * counted.stations
            and snow_us + sleet_us > 0 then 'mixed'
        when 10 * freezing_us >= 6 * (snow_us + freezing_us + sleet_us) then 'freezing rain'
        when 10 * sleet_us >= 6 * (snow_us + freezing_us + sleet_us) then 'sleet'
        when 10 * snow_us >= 6 * (snow_us + freezing_us + sleet_us) then 'snow'
        else 'mixed'
    end as kind
from weighed
left join counted using (zone_id)
order by storm_id, zone_id;
