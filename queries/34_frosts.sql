-- frosts: frost and refreezing in every zone, the reasons to treat a road outside storms.
-- grain:   one row per zone_id, kind, from_at
-- reads:   frost_spells, refreeze_spells, run
-- units:   instants, UTC
-- empty:   no spell, no row
-- formula: definitions, frost and refreeze; season by the local date of from_at
create or replace table frosts as
with spells as (
    select zone_id, 'frost' as kind, from_at, to_at
    from frost_spells
    union all
    select zone_id, 'refreeze' as kind, from_at, to_at
    from refreeze_spells
),
dated as (
    select spells.*, year(timezone(run.time_zone, spells.from_at) - interval 6 month) as first_year
    from spells
    cross join run
)
select
    printf('%d-%02d', first_year, (first_year + 1) % 100) as season,
    zone_id,
    kind,
    from_at,
    to_at
from dated
order by zone_id, kind, from_at;
