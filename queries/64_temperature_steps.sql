-- temperature_steps: readings that differ from the one before by over 20 F in at most 20 min, and
--          jumps against both neighbours.
-- grain:   one row per station_id, observed_at, what
-- reads:   weather_left_out, temperature_leaps
-- units:   value_f degree Fahrenheit; from_at the reading before, to_at this reading, or the one
--          after where the step is a jump
-- empty:   a reading that does neither has no row; the way back from a jump is told with the jump
-- formula: definitions, "Storms", last sentence
create or replace table temperature_steps as
with jumps as (
    select station_id, observed_at, 'air_f' as what
    from weather_left_out
    where leaves_air and reason = 'jump'
    union all
    select station_id, observed_at, 'surface_f' as what
    from weather_left_out
    where leaves_surface
)

select
    leaps.station_id,
    leaps.observed_at,
    leaps.what,
    leaps.value_f,
    leaps.last_at as from_at,
    case when jumps.station_id is not null then ways_back.observed_at
        else leaps.observed_at end as to_at
from temperature_leaps as leaps
left join jumps using (station_id, what, observed_at)
left join jumps as before
    on before.station_id = leaps.station_id and before.what = leaps.what
    and before.observed_at = leaps.last_at
left join temperature_leaps as ways_back
    on ways_back.station_id = leaps.station_id and ways_back.what = leaps.what
        and ways_back.last_at = leaps.observed_at
where jumps.station_id is not null
    or before.station_id is null and leaps.observed_at <= leaps.last_at + interval 20 minute
order by leaps.station_id, leaps.observed_at, leaps.what;
