-- weather_left_out: observations whose temperature no measure may use: of a stuck sensor, or a jump.
-- grain:   one row per station_id, observed_at
-- reads:   observations, unchanged_runs
-- units:   leaves_air, leaves_surface boolean, which of the two temperatures is left out
-- empty:   an observation that is neither has no row; reason is stuck where it is both
-- formula: definitions, "Storms", last sentence. Jump: over 20 F from the station's reading before and from its reading after, both at most
--          1 h away, so that a change over a gap in the reports is none
create or replace table weather_left_out as
with measured as (
    select station_id, observed_at, 'air' as what, air_f as value_f
    from observations
    where air_f is not null
    union all
    select station_id, observed_at, 'surface' as what, surface_f as value_f
    from observations
    where surface_f is not null
),

beside as (
    select
        *,
        case when observed_at <= lag(observed_at) over in_time + interval 1 hour then lag(value_f) over in_time end as before_f,
        case when observed_at >= lead(observed_at) over in_time - interval 1 hour then lead(value_f) over in_time end as after_f
    from measured
    window in_time as (partition by station_id, what order by observed_at)
),

left_out as (
    select observations.station_id, observations.observed_at, true as is_stuck, 'air' as what
    from observations
    inner join unchanged_runs
        on unchanged_runs.station_id = observations.station_id
        and observations.observed_at between unchanged_runs.from_at and unchanged_runs.to_at
    where unchanged_runs.verdict = 'stuck' and observations.air_f is not null
    union all
    select station_id, observed_at, false as is_stuck, what
    from beside
    where abs(value_f - before_f) > 20.0 and abs(value_f - after_f) > 20.0
)

select
    station_id,
    observed_at,
    case when bool_or(is_stuck) then 'stuck' else 'jump' end as reason,
    bool_or(what = 'air') as leaves_air,
    bool_or(what = 'surface') as leaves_surface
from left_out
group by station_id, observed_at
order by station_id, observed_at;
