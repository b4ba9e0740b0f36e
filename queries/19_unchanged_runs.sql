-- unchanged_runs: runs of reports of one station with one and the same temperature for more than
--          stuck_h, and whether the sensor is stuck.
-- grain:   one row per station_id, what, from_at
-- reads:   observations, stations, run
-- units:   what air_f or surface_f; value_f degree Fahrenheit; from_at, to_at first and last report
--          of the run, instants
-- empty:   a run of stuck_h or less has no row
-- formula: no two reports of a run are more than 3 h apart. verdict: stuck where the same
--          temperature at another station of the zone, or the air beside a pavement, moves by at
--          least 2 F (a whole degree Celsius is 1.8 F) between the same two instants; the air tells
--          nothing of a pavement from 30 to 34 F, which melting and freezing hold. Still where
--          others report, or the air, and none moves. Else not judged
create or replace table unchanged_runs as
with readings as (
    select *
    from (
        select stations.zone_id, observations.station_id, observations.observed_at,
            unnest(['air_f', 'surface_f']) as what,
            unnest([observations.air_f, observations.surface_f]) as value_f
        from observations
        inner join stations using (station_id)
    )
    where value_f is not null
),

stepped as (
    select
        *,
        lag(observed_at) over in_time as last_at,
        lag(value_f) over in_time as last_value_f,
        max(observed_at) over (partition by station_id, what) as newest_at
    from readings
    window in_time as (partition by station_id, what order by observed_at)
),

begun as (
    select zone_id, station_id, what, value_f, observed_at as from_at,
        lead(last_at, 1, newest_at)
            over (partition by station_id, what order by observed_at) as to_at
    from stepped
    where coalesce(value_f <> last_value_f, true)
        or epoch_us(observed_at) - epoch_us(last_at) > 10800000000
),

long_runs as (
    select begun.*
    from begun
    cross join run
    where epoch_us(to_at) - epoch_us(from_at) > run.stuck_h * 3600000000
),

neighbours as (
    select
        long_runs.station_id, long_runs.what, long_runs.from_at,
        others.station_id as other_id,
        max(others.value_f) - min(others.value_f) >= 2.0 as has_moved
    from long_runs
    inner join readings as others
        on others.zone_id = long_runs.zone_id
        and others.what = long_runs.what
        and others.station_id <> long_runs.station_id
        and others.observed_at between long_runs.from_at and long_runs.to_at
    group by long_runs.station_id, long_runs.what, long_runs.from_at, others.station_id
),

judged as (
    select station_id, what, from_at, bool_or(has_moved) as has_moved
    from neighbours
    group by station_id, what, from_at
),

beside as (
    select long_runs.station_id, long_runs.from_at,
        max(air.value_f) - min(air.value_f) >= 2.0 as has_moved
    from long_runs
    inner join readings as air
        on air.station_id = long_runs.station_id and air.what = 'air_f'
            and air.observed_at between long_runs.from_at and long_runs.to_at
    where long_runs.what = 'surface_f'
    group by long_runs.station_id, long_runs.from_at
)

select
    long_runs.station_id, long_runs.what, long_runs.from_at, long_runs.to_at, long_runs.value_f,
    case
        when judged.has_moved then 'stuck'
        when beside.has_moved and not long_runs.value_f between 30.0 and 34.0 then 'stuck'
        when judged.station_id is not null or not beside.has_moved then 'still'
        else 'not judged'
    end as verdict
from long_runs
left join judged using (station_id, what, from_at)
left join beside on long_runs.what = 'surface_f' and beside.station_id = long_runs.station_id
    and beside.from_at = long_runs.from_at
order by long_runs.station_id, long_runs.what, long_runs.from_at;
