-- report_doubts: what raw reports say against themselves: sensors that do not work, and hourly sums
--          that fall.
-- grain:   one row per station_id, from_at, finding_code
-- reads:   observations_told, report_increments
-- units:   from_at, to_at first and last report that says so, instants, UTC; amount in unit, the
--          reports that say so
-- empty:   a station without such reports has no row; amount of a lower hourly sum
-- formula: FMH-1 remarks FZRANO, PWINO, PNO: successive reports that carry one are one row. A
--          routine report that gives less water than a special of its hour adds 0
create or replace table report_doubts as
with flags as (
    select station_id, observed_at,
        unnest(['freezing_rain_sensor_out', 'present_weather_sensor_out', 'gauge_out'])
            as finding_code,
        unnest([is_freezing_out, is_weather_out, is_gauge_out]) as is_out
    from observations_told
    where is_in_force and report_kind is not null
),

numbered as (
    select
        *,
        count(*) filter (where not is_out)
            over (partition by station_id, finding_code order by observed_at) as run_no
    from flags
)

select
    station_id,
    min(observed_at) as from_at,
    max(observed_at) as to_at,
    finding_code,
    count(*) as amount,
    'count' as unit
from numbered
where is_out
group by station_id, finding_code, run_no
union all
select
    station_id,
    observed_at as from_at,
    observed_at as to_at,
    'lower_hourly_sum' as finding_code,
    null as amount,
    null as unit
from report_increments
where is_lower
order by station_id, from_at, finding_code;
