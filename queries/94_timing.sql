-- timing: how much of a route's material went down in cold, in wind, early or late in a storm. By
--          storm and route, never by crew.
-- grain:   one row per storm_id, route_id, material_class
-- reads:   storm_passes, storms, storm_zones, wintry_runs, stations, run
-- units:   _lb pound; shares 1; snow_before_h hour
-- empty:   cold and wind columns where no pounds meet a known temperature or wind; early_share
--          without known pounds; snow_before_h and is_late in a zone without a station
-- formula: cold and wind as in definitions, cold_share and wind_share, by pounds; early: begun more
--          than early_min before the zone's storm without purpose pretreat; snow_before_h: hours of
--          snow as in snow_h, up to the route's first treating pass of the storm; late: at least 2
--          of them
create or replace table timing as
with treating as (
    select
        storm_passes.season,
        storm_passes.storm_id,
        storm_passes.zone_id,
        storm_passes.route_id,
        storm_passes.material_class,
        storm_passes.began_at,
        storm_passes.applied_ulb,
        storm_passes.is_cold,
        storm_passes.is_windy,
        epoch_us(storms.began_at) - epoch_us(storm_passes.began_at) > run.early_min * 60000000
            and storm_passes.purpose is distinct from 'pretreat' as is_early
    from storm_passes
    cross join run
    inner join storms using (storm_id, zone_id)
    where storm_passes.is_treating
),
firsts as (
    select storm_id, zone_id, route_id, min(began_at) as first_at
    from treating
    group by storm_id, zone_id, route_id
),
counted as (
    select zone_id, count(*) as stations
    from stations
    group by zone_id
),
snow_reports as (
    select storm_zones.storm_id, storm_zones.zone_id, wintry_runs.observed_at, wintry_runs.weight_us
    from storm_zones
    inner join wintry_runs
        on wintry_runs.zone_id = storm_zones.zone_id and wintry_runs.phase = 'snow'
        and wintry_runs.observed_at between storm_zones.began_at and storm_zones.ended_at
        and (storm_zones.is_declared or wintry_runs.run_began_at = storm_zones.run_began_at)
),
snowed as (
    select
        firsts.storm_id,
        firsts.route_id,
        coalesce(sum(least(snow_reports.weight_us,
            epoch_us(firsts.first_at) - epoch_us(snow_reports.observed_at))), 0)
            / any_value(counted.stations) as snow_us
    from firsts
    inner join counted using (zone_id)
    left join snow_reports
        on snow_reports.storm_id = firsts.storm_id and snow_reports.zone_id = firsts.zone_id
        and snow_reports.observed_at < firsts.first_at
    group by firsts.storm_id, firsts.route_id
),
summed as (
    select
        season,
        storm_id,
        zone_id,
        route_id,
        material_class,
        sum(applied_ulb) as applied_ulb,
        sum(applied_ulb) filter (where is_cold) as cold_ulb,
        sum(applied_ulb) filter (where is_cold is not null) as cold_known_ulb,
        sum(applied_ulb) filter (where is_windy) as windy_ulb,
        sum(applied_ulb) filter (where is_windy is not null) as windy_known_ulb,
        sum(applied_ulb) filter (where is_early) as early_ulb
    from treating
    group by season, storm_id, zone_id, route_id, material_class
)
select
    summed.season,
    summed.storm_id,
    summed.zone_id,
    summed.route_id,
    summed.material_class,
    firsts.first_at as first_application_at,
    summed.applied_ulb / 1e6 as applied_lb,
    case when summed.cold_known_ulb is not null
        then coalesce(summed.cold_ulb, 0) / 1e6 end as cold_lb,
    coalesce(summed.cold_ulb, 0) / nullif(summed.cold_known_ulb, 0) as cold_share,
    case when summed.windy_known_ulb is not null
        then coalesce(summed.windy_ulb, 0) / 1e6 end as wind_lb,
    coalesce(summed.windy_ulb, 0) / nullif(summed.windy_known_ulb, 0) as wind_share,
    case when summed.applied_ulb is not null
        then coalesce(summed.early_ulb, 0) / 1e6 end as early_lb,
    coalesce(summed.early_ulb, 0) / nullif(summed.applied_ulb, 0) as early_share,
    snowed.snow_us / 3.6e9 as snow_before_h,
    snowed.snow_us >= 7.2e9 as is_late
from summed
inner join firsts using (storm_id, route_id)
left join snowed using (storm_id, route_id)
order by storm_id, route_id, material_class;
