-- flurries: the runs that were counted and not kept.
-- grain:   one row per season, district_id
-- reads:   storm_runs, run
-- units:   flurries, a number of runs
-- empty:   a season without a flurry in a district has no row
-- formula: definitions, "Storms"; season by the local date of the run's begin
create or replace table flurries as
with dated as (
    select
        storm_runs.district_id,
        year(timezone(run.time_zone, storm_runs.run_began_at) - interval 6 month) as first_year
    from storm_runs
    cross join run
    where not storm_runs.is_kept
)
select
    printf('%d-%02d', first_year, (first_year + 1) % 100) as season,
    district_id,
    count(*) as flurries
from dated
group by first_year, district_id
order by season, district_id;
