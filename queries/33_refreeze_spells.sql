-- refreeze_spells: when the pavement of a zone froze again after a storm.
-- grain:   one row per zone_id, from_at
-- reads:   observations_used, stations, storms
-- units:   instants, UTC
-- empty:   no such fall of a pavement temperature, no row; a dry zone of a storm has nothing to
--          freeze
-- formula: definitions, refreeze: surface_f of a station falls through 32 (a reading above 32, at
--          most 2 h later one at or below) within 12 h after a storm of the zone. The spell goes on
--          to the last reading at or below 32 before a reading above, a gap over 2 h, 12 h from its
--          begin or the zone's next storm. Spells of a zone's stations that overlap are one
create or replace table refreeze_spells as
with ends as (
    select
        zone_id,
        epoch_us(ended_at) as ended_us,
        lead(epoch_us(began_at)) over (partition by zone_id order by began_at, storm_id) as next_us
    from storms
    where kind <> 'dry'
),
-- the hours from 2 h before a storm's end, which tell whether the pavement falls through 32, to
-- 24 h after it, when the last spell is over
hours as (
    select distinct stations.station_id,
        unnest(range(ends.ended_us // 3600000000 - 2, ends.ended_us // 3600000000 + 25)) as hour_no
    from ends
    inner join stations using (zone_id)
),
stepped as (
    select
        stations.zone_id,
        observations_used.station_id,
        epoch_us(observations_used.observed_at) as observed_us,
        observations_used.surface_f <= 32.0 as is_frozen,
        epoch_us(observations_used.observed_at) - lag(epoch_us(observations_used.observed_at))
            over in_time as gap_us,
        lag(observations_used.surface_f) over in_time > 32.0 as was_above
    from observations_used
    semi join hours
        on hours.station_id = observations_used.station_id
            and hours.hour_no = epoch_us(observations_used.observed_at) // 3600000000
    inner join stations using (station_id)
    where observations_used.surface_f is not null
    window in_time as (partition by observations_used.station_id
        order by observations_used.observed_at)
),
frozen as (
    select
        *,
        max(case when was_above or gap_us is null or gap_us > 7200000000 then observed_us end)
            over (
            partition by station_id order by observed_us rows unbounded preceding
        ) as run_us
    from stepped
    where is_frozen
),
crossings as (
    select zone_id, station_id, run_us, observed_us as from_us
    from frozen
    where was_above and gap_us <= 7200000000
),
spells as (
    select
        crossings.zone_id,
        crossings.from_us,
        max(frozen.observed_us) as to_us
    from crossings
    inner join ends
        on ends.zone_id = crossings.zone_id
        and crossings.from_us > ends.ended_us
        and crossings.from_us <= ends.ended_us + 43200000000
        and (ends.next_us is null or crossings.from_us < ends.next_us)
    inner join frozen
        on frozen.station_id = crossings.station_id
        and frozen.run_us = crossings.run_us
        and frozen.observed_us <= crossings.from_us + 43200000000
        and (ends.next_us is null or frozen.observed_us < ends.next_us)
    group by crossings.zone_id, crossings.station_id, crossings.from_us
),
reached as (
    select
        *,
        max(to_us) over (
            partition by zone_id order by from_us,
                to_us rows between unbounded preceding and 1 preceding
        ) as reached_us
    from spells
),
joined as (
    select
        *,
        count(*) filter (where reached_us is null or from_us > reached_us) over (
            partition by zone_id order by from_us, to_us rows unbounded preceding
        ) as spell_no
    from reached
)
select
    zone_id,
    make_timestamptz(min(from_us)) as from_at,
    make_timestamptz(max(to_us)) as to_at
from joined
group by zone_id, spell_no
order by zone_id, from_at;
