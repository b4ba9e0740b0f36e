-- weather_left_out: observations whose temperature no measure may use: of a stuck sensor, or a jump.
-- grain:   one row per station_id, observed_at
-- reads:   observations, stations, run
-- units:   leaves_air, leaves_surface boolean, which of the two temperatures is left out
-- empty:   an observation that is neither has no row; reason is stuck where it is both
-- formula: definitions, "Storms", last sentence. Stuck: one air_f over more than stuck_h, no two reports more than 3 h apart, while
--          another station of the zone moves by at least 2 F (a whole degree Celsius is 1.8 F) between the same two instants.
--          Jump: over 20 F from the station's reading before and its reading after, both at most 1 h away
create or replace table weather_left_out as
with readings as (
    select
        stations.zone_id,
        observations.station_id,
        observations.observed_at,
        observations.air_f
    from observations
    inner join stations on stations.station_id = observations.station_id
    where observations.air_f is not null
),

stepped as (
    select
        *,
        lag(observed_at) over in_time as last_at,
        coalesce(air_f <> lag(air_f) over in_time, true) as is_new_value
    from readings
    window in_time as (partition by station_id order by observed_at)
),

runs as (
    select
        *,
        count(*) filter (where is_new_value or observed_at > last_at + interval 3 hour) over (
            partition by station_id order by observed_at
        ) as run_no
    from stepped
),

unchanged as (
    select zone_id, station_id, run_no, min(observed_at) as from_at, max(observed_at) as to_at
    from runs
    cross join run
    group by zone_id, station_id, run_no
    having epoch_us(max(observed_at)) - epoch_us(min(observed_at)) > max(run.stuck_h) * 3600000000
),

stuck_runs as (
    select distinct unchanged.station_id, unchanged.from_at, unchanged.to_at
    from unchanged
    inner join readings as others
        on others.zone_id = unchanged.zone_id
        and others.station_id <> unchanged.station_id
        and others.observed_at between unchanged.from_at and unchanged.to_at
    group by unchanged.station_id, unchanged.from_at, unchanged.to_at, others.station_id
    having max(others.air_f) - min(others.air_f) >= 2.0
),

measured as (
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
    select readings.station_id, readings.observed_at, true as is_stuck, 'air' as what
    from readings
    inner join stuck_runs
        on stuck_runs.station_id = readings.station_id
        and readings.observed_at between stuck_runs.from_at and stuck_runs.to_at
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
