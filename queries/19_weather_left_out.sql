-- weather_left_out: observations whose temperature no measure may use: of a stuck sensor, or a
--          jump.
-- grain:   one row per station_id, observed_at
-- reads:   observations, unchanged_runs, temperature_leaps
-- units:   leaves_air, leaves_surface boolean, which of the two temperatures is left out
-- empty:   an observation that is neither has no row; reason is stuck where it is both
-- formula: definitions, "Storms", last sentences. Jump: two leaps, one after the other and back:
--          over 20 F, to the same side, from the station's reading before and after, each at most
--          3 h away, so that a change over a gap in the reports is none
create or replace table weather_left_out as
with followed as (
    select *, lead(last_at) over in_time as next_from_at, lead(is_up) over in_time as next_is_up
    from temperature_leaps
    where observed_at <= last_at + interval 3 hour
    window in_time as (partition by station_id, what order by observed_at)
),

left_out as (
    select observations.station_id, observations.observed_at, true as is_stuck, unchanged_runs.what
    from observations
    inner join unchanged_runs
        on unchanged_runs.station_id = observations.station_id
        and observations.observed_at between unchanged_runs.from_at and unchanged_runs.to_at
    where unchanged_runs.verdict = 'stuck'
        and case unchanged_runs.what when 'air_f' then observations.air_f
            else observations.surface_f end is not null
    union all
    select station_id, observed_at, false as is_stuck, what
    from followed
    where next_from_at = observed_at and next_is_up <> is_up
)

select
    station_id,
    observed_at,
    case when bool_or(is_stuck) then 'stuck' else 'jump' end as reason,
    bool_or(what = 'air_f') as leaves_air,
    bool_or(what = 'surface_f') as leaves_surface
from left_out
group by station_id, observed_at
order by station_id, observed_at;
