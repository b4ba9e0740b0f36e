-- storm_zones: the interval of every storm in every zone.
-- grain:   one row per storm_id, zone_id
-- reads:   storm_runs, wintry_runs, zones, declared_storms, declared_claims, storm_ids
-- units:   instants, UTC
-- empty:   a zone whose row a declared storm removed has that storm's row instead
-- formula: definitions, "Storms"
create or replace table storm_zones as
with seen as (
    select
        zone_id,
        run_began_at,
        min(observed_at) as first_at,
        max(observed_at) as last_at
    from wintry_runs
    group by zone_id, run_began_at
),
removed as (
    select distinct declared_storms.zone_id, storm_runs.run_began_at
    from declared_storms
    inner join zones using (zone_id)
    inner join storm_runs
        on storm_runs.district_id = zones.district_id
        and storm_runs.run_began_at <= declared_storms.ended_at
        and storm_runs.run_ended_at >= declared_storms.began_at
    where storm_runs.is_kept
),
told_by_weather as (
    select
        zones.district_id,
        zones.zone_id,
        storm_runs.run_began_at,
        true as is_run,
        coalesce(seen.first_at, storm_runs.run_began_at) as began_at,
        coalesce(seen.last_at, storm_runs.run_ended_at) as ended_at,
        false as is_declared,
        seen.first_at is null as is_dry
    from storm_runs
    inner join zones using (district_id)
    left join seen
        on seen.zone_id = zones.zone_id and seen.run_began_at = storm_runs.run_began_at
    left join removed
        on removed.zone_id = zones.zone_id and removed.run_began_at = storm_runs.run_began_at
    where storm_runs.is_kept and removed.zone_id is null
),
told_by_people as (
    select
        district_id,
        zone_id,
        coalesce(claimed_run_at, began_at) as run_began_at,
        claimed_run_at is not null as is_run,
        began_at,
        ended_at,
        true as is_declared,
        false as is_dry
    from declared_claims
),
told as (
    select * from told_by_weather
    union all
    select * from told_by_people
)
select
    storm_ids.storm_id,
    told.district_id,
    told.zone_id,
    told.run_began_at,
    told.began_at,
    told.ended_at,
    told.is_declared,
    told.is_dry
from told
inner join storm_ids
    on storm_ids.district_id = told.district_id
    and storm_ids.begin_at = told.run_began_at
    and storm_ids.is_run = told.is_run
order by storm_id, zone_id;
