-- temperature_leaps: readings of a temperature that differ by over 20 F from the station's reading
--          before.
-- grain:   one row per station_id, observed_at, what
-- reads:   observations
-- units:   what air_f or surface_f; value_f degree Fahrenheit; is_up where it lies above the
--          reading before, at last_at, an instant
-- empty:   a reading that does not, and a station's first, have no row
-- formula: definitions, "Storms", last sentence; a report without the temperature is no reading of
--          it
create or replace table temperature_leaps as
with readings as (
    select station_id, observed_at, unnest(['air_f', 'surface_f']) as what,
        unnest([air_f, surface_f]) as value_f
    from observations
),

followed as (
    select *, lag(observed_at) over in_time as last_at, lag(value_f) over in_time as last_value_f
    from readings
    where value_f is not null
    window in_time as (partition by station_id, what order by observed_at)
)

select station_id, observed_at, what, value_f, value_f > last_value_f as is_up, last_at
from followed
where abs(value_f - last_value_f) > 20.0
order by station_id, observed_at, what;
