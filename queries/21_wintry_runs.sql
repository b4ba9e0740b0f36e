-- wintry_runs: every wintry observation with the run of its district that it falls into.
-- grain:   one row per station_id, observed_at
-- reads:   wintry_observations, run
-- units:   run_began_at instant, UTC, names the run within its district
-- empty:   no wintry observation, no row
-- formula: definitions, "Storms": successive gaps of at most storm_gap_h
create or replace table wintry_runs as
with spaced as (
    select
        *,
        lag(observed_at) over (partition by district_id order by observed_at, station_id)
            as previous_at
    from wintry_observations
),
opened as (
    select
        spaced.*,
        case
            when spaced.previous_at is null then spaced.observed_at
            when epoch_us(spaced.observed_at) - epoch_us(spaced.previous_at) > run.storm_gap_h
                * 3600000000
                then spaced.observed_at
        end as opened_at
    from spaced
    cross join run
)
select
    * exclude (previous_at, opened_at),
    max(opened_at) over (
        partition by district_id order by observed_at, station_id rows unbounded preceding
    ) as run_began_at
from opened;
