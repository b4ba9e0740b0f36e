-- temperature_steps: readings that differ from the one before by over 20 F in at most 20 min, and jumps against both neighbours.
-- grain:   one row per station_id, observed_at, what
-- reads:   observations, weather_left_out
-- units:   value_f degree Fahrenheit; from_at the reading before, to_at this reading, or the one after where the step is a jump
-- empty:   a reading that does neither has no row; the way back from a jump is told with the jump
-- formula: definitions, "Storms", last sentence
create or replace table temperature_steps as
with measured as (
    select observations.station_id, observations.observed_at, 'air_f' as what, observations.air_f as value_f,
        coalesce(weather_left_out.leaves_air and weather_left_out.reason = 'jump', false) as is_left_out
    from observations
    left join weather_left_out
        on weather_left_out.station_id = observations.station_id and weather_left_out.observed_at = observations.observed_at
    where observations.air_f is not null
    union all
    select observations.station_id, observations.observed_at, 'surface_f' as what, observations.surface_f as value_f,
        coalesce(weather_left_out.leaves_surface, false) as is_left_out
    from observations
    left join weather_left_out
        on weather_left_out.station_id = observations.station_id and weather_left_out.observed_at = observations.observed_at
    where observations.surface_f is not null
),

beside as (
    select
        *,
        lag(observed_at) over in_time as before_at,
        lead(observed_at) over in_time as after_at,
        lag(value_f) over in_time as before_f,
        coalesce(lag(is_left_out) over in_time, false) as is_way_back
    from measured
    window in_time as (partition by station_id, what order by observed_at)
)

select
    station_id,
    observed_at,
    what,
    value_f,
    before_at as from_at,
    case when is_left_out then after_at else observed_at end as to_at
from beside
where is_left_out
    or not is_way_back and abs(value_f - before_f) > 20.0 and observed_at <= before_at + interval 20 minute
order by station_id, observed_at, what;
