-- report_doubts: what raw reports say against themselves: sensors that do not work, and hourly sums that fall.
-- grain:   one row per station_id, from_at, kind
-- reads:   observations_told, report_increments
-- units:   from_at, to_at first and last report that says so, instants, UTC
-- empty:   a station without such reports has no row
-- formula: FMH-1 remarks FZRANO, PWINO, PNO: successive reports that carry one are one row. A routine report that gives less water than a
--          special of its hour adds 0
create or replace table report_doubts as
with reports as (
    select station_id, observed_at, is_freezing_out, is_weather_out, is_gauge_out
    from observations_told
    where is_in_force and report_kind is not null
),

flags as (
    select station_id, observed_at, 'freezing-rain sensor out' as kind, is_freezing_out as is_out from reports
    union all
    select station_id, observed_at, 'present-weather sensor out' as kind, is_weather_out as is_out from reports
    union all
    select station_id, observed_at, 'gauge out' as kind, is_gauge_out as is_out from reports
),

numbered as (
    select
        *,
        count(*) filter (where not is_out) over (partition by station_id, kind order by observed_at) as run_no
    from flags
),

out_of_order as (
    select
        station_id,
        min(observed_at) as from_at,
        max(observed_at) as to_at,
        kind,
        printf('%d reports say that the sensor does not work: what it would have told is missing, not absent', count(*)) as text
    from numbered
    where is_out
    group by station_id, kind, run_no
)

select *
from out_of_order
union all
select
    station_id,
    observed_at as from_at,
    observed_at as to_at,
    'lower hourly sum' as kind,
    'the routine report gives less water than a special of its hour; it adds 0' as text
from report_increments
where is_lower
order by station_id, from_at, kind;
