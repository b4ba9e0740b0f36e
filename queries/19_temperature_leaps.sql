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
with air as (
    select station_id, observed_at, air_f, lag(observed_at) over in_time as last_at,
        lag(air_f) over in_time as last_air_f
    from observations
    where air_f is not null
    window in_time as (partition by station_id order by observed_at)
),

surface as (
    select station_id, observed_at, surface_f, lag(observed_at) over in_time as last_at,
        lag(surface_f) over in_time as last_surface_f
    from observations
    where surface_f is not null
    window in_time as (partition by station_id order by observed_at)
)

select station_id, observed_at, 'air_f' as what, air_f as value_f,
    air_f > last_air_f as is_up, last_at
from air
where abs(air_f - last_air_f) > 20.0
union all
select station_id, observed_at, 'surface_f' as what, surface_f as value_f,
    surface_f > last_surface_f as is_up, last_at
from surface
where abs(surface_f - last_surface_f) > 20.0
order by station_id, observed_at, what;
