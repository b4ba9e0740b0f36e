-- frost_spells: when frost could form on the pavement of a zone.
-- grain:   one row per zone_id, from_at
-- reads:   observations_used, stations, present_wx_codes
-- units:   instants, UTC
-- empty:   no such reports, one alone, or no pavement temperature or dew point, no row
-- formula: definitions, frost: reports of the zone with surface_f <= 32, surface_f <= dew_f and no
--          precipitation fall into runs whose gaps are at most 2 h; from the second such report
--          (the second instant) of the run to its last. A report whose present weather does not
--          decode does not count
create or replace table frost_spells as
with reports as (
    select distinct
        stations.zone_id,
        epoch_us(observations_used.observed_at) as observed_us,
        observations_used.observed_at
    from observations_used
    inner join stations using (station_id)
    left join present_wx_codes as codes using (present_wx)
    where observations_used.surface_f <= 32.0
        and observations_used.surface_f <= observations_used.dew_f
        and not coalesce(observations_used.precip_in > 0, false)
        and not coalesce(observations_used.precip_is_trace, false)
        and not coalesce(codes.has_precip, observations_used.present_wx is not null)
),
spaced as (
    select
        *,
        observed_us - lag(observed_us) over (partition by zone_id order by observed_us) as gap_us
    from reports
),
runs as (
    select
        *,
        max(case when gap_us is null or gap_us > 7200000000 then observed_us end) over (
            partition by zone_id order by observed_us rows unbounded preceding
        ) as run_us
    from spaced
),
placed as (
    select
        *,
        row_number() over (partition by zone_id, run_us order by observed_us) as place
    from runs
)
select
    zone_id,
    min(observed_at) as from_at,
    max(observed_at) as to_at
from placed
where place >= 2
group by zone_id, run_us
order by zone_id, from_at;
