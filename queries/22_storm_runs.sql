-- storm_runs: the runs of wintry observations of each district, kept (a storm) or not (a flurry).
-- grain:   one row per district_id, run_began_at
-- reads:   wintry_runs
-- units:   precip_uin millionth of an inch, the largest sum over one station's wintry observations
-- empty:   precip_uin is empty when no station reported an amount
-- formula: definitions, "Storms": two wintry observations at different times, or 0.01 in at some
--          station
create or replace table storm_runs as
with weighed as (
    select *, sum(precip_uin) over (partition by district_id, run_began_at, station_id)
        as station_uin
    from wintry_runs
)
select
    district_id,
    run_began_at,
    max(observed_at) as run_ended_at,
    count(distinct observed_at) as times,
    max(station_uin) as precip_uin,
    times >= 2 or coalesce(max(station_uin), 0) >= 10000 as is_kept
from weighed
group by district_id, run_began_at
order by district_id, run_began_at;
