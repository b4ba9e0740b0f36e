-- unchanged_runs: runs of reports of one station with one and the same air_f for more than stuck_h, and whether the sensor is stuck.
-- grain:   one row per station_id, from_at
-- reads:   observations, stations, run
-- units:   air_f degree Fahrenheit; from_at, to_at first and last report of the run, instants
-- empty:   a run of stuck_h or less has no row
-- formula: no two reports of a run are more than 3 h apart. verdict: stuck where another station of the zone moves by at least 2 F (a whole
--          degree Celsius is 1.8 F) between the same two instants; still where others report and none does; not judged where none reports
create or replace table unchanged_runs as
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
        lag(air_f) over in_time as last_air_f
    from readings
    window in_time as (partition by station_id order by observed_at)
),

begun as (
    select zone_id, station_id, air_f, observed_at as from_at, lead(last_at) over (partition by station_id order by observed_at) as to_at
    from stepped
    where coalesce(air_f <> last_air_f, true) or epoch_us(observed_at) - epoch_us(last_at) > 10800000000
),

newest as (
    select station_id, max(observed_at) as observed_at
    from readings
    group by station_id
),

long_runs as (
    select begun.zone_id, begun.station_id, begun.from_at, coalesce(begun.to_at, newest.observed_at) as to_at, begun.air_f
    from begun
    inner join newest on newest.station_id = begun.station_id
    cross join run
    where epoch_us(coalesce(begun.to_at, newest.observed_at)) - epoch_us(begun.from_at) > run.stuck_h * 3600000000
),

neighbours as (
    select
        long_runs.station_id,
        long_runs.from_at,
        others.station_id as other_id,
        max(others.air_f) - min(others.air_f) >= 2.0 as has_moved
    from long_runs
    inner join readings as others
        on others.zone_id = long_runs.zone_id
        and others.station_id <> long_runs.station_id
        and others.observed_at between long_runs.from_at and long_runs.to_at
    group by long_runs.station_id, long_runs.from_at, others.station_id
),

judged as (
    select station_id, from_at, bool_or(has_moved) as has_moved
    from neighbours
    group by station_id, from_at
)

select
    long_runs.station_id,
    long_runs.from_at,
    long_runs.to_at,
    long_runs.air_f,
    case when judged.has_moved then 'stuck' when judged.station_id is not null then 'still' else 'not judged' end as verdict
from long_runs
left join judged on judged.station_id = long_runs.station_id and judged.from_at = long_runs.from_at
order by long_runs.station_id, long_runs.from_at;
