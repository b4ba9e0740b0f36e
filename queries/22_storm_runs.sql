-- storm_runs: the runs of wintry observations of each district, kept (a storm) or not (a flurry).
-- grain:   one row per district_id, run_began_at
-- reads:   wintry_runs
-- units:   precip_uin millionth of an inch, the largest sum over one station's wintry observations
-- empty:   precip_uin is empty when no station reported an amount
-- formula: definitions, "Storms": two wintry observations at different times, or 0.01 in at some
--          station
create or replace table storm_runs as
with by_station as (
    select
        district_id,
        run_began_at,
        station_id,
        sum(precip_uin) as precip_uin
    from wintry_runs
    group by district_id, run_began_at, station_id
),
wettest as (
    select district_id, run_began_at, max(precip_uin) as precip_uin
    from by_station
    group by district_id, run_began_at
),
spans as (
    select
        district_id,
        run_began_at,
        max(observed_at) as run_ended_at,
        count(distinct observed_at) as times
    from wintry_runs
    group by district_id, run_began_at
)
select
    spans.district_id,
    spans.run_began_at,
    spans.run_ended_at,
    spans.times,
    wettest.precip_uin,
    spans.times >= 2 or coalesce(wettest.precip_uin, 0) >= 10000 as is_kept
from spans
inner join wettest using (district_id, run_began_at)
order by district_id, run_began_at;
