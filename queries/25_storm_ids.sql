-- storm_ids: the name of every kept run, and of every begin that was declared and claims no run.
-- grain:   one row per district_id, begin_at, is_run
-- reads:   storm_runs, declared_claims, run
-- units:   begin_at instant, UTC
-- empty:   no kept run and no declared storm, no row
-- formula: definitions, "Storms": district and local date, then b, c by begin; a run before a
--          declared begin at the same instant. A 27th begin of one date, which no weather gives,
--          would read za
create or replace table storm_ids as
with begins as (
    select district_id, run_began_at as begin_at, true as is_run
    from storm_runs
    where is_kept
    union
    select district_id, began_at as begin_at, false as is_run
    from declared_claims
    where claimed_run_at is null
),
dated as (
    select
        begins.*,
        strftime(timezone(run.time_zone, begins.begin_at), '%Y%m%d') as local_date
    from begins
    cross join run
),
placed as (
    select
        *,
        row_number() over (partition by district_id, local_date order by begin_at, is_run desc)
            - 1 as place
    from dated
)
select
    district_id,
    begin_at,
    is_run,
    concat(
        district_id, '-', local_date,
        case when place > 0 then concat(
            repeat('z', place // 26), chr(cast(97 + place % 26 as integer))) end
    ) as storm_id
from placed
order by district_id, begin_at, is_run desc;
