-- damage_assumptions: what a season's material would cost elsewhere if the district's own
--          assumptions held. Never added to costs.
-- grain:   one row per season, name, material_class
-- reads:   storm_passes, materials, damage_costs
-- units:   usd_per_ton dollar per ton; tons of 2000 pounds, prewet under the class of its own
--          material; usd US dollar
-- empty:   a season without known pounds of the class has no row; a district without assumptions
--          has none
-- formula: tons x the district's own amount; source is the district's own text, and label says what
--          it is
create or replace table damage_assumptions as
with put_down as (
    select season, material_class, applied_ulb as ulb
    from storm_passes
    where is_treating and applied_ulb is not null
    union all
    select storm_passes.season, prewets.class as material_class, storm_passes.prewet_ulb as ulb
    from storm_passes
    inner join materials as prewets on prewets.material_id = storm_passes.prewet_material_id
    where storm_passes.is_treating and storm_passes.prewet_ulb is not null
),
summed as (
    select season, material_class, sum(ulb) as ulb
    from put_down
    group by season, material_class
)
select
    summed.season,
    damage_costs.name,
    damage_costs.material_class,
    damage_costs.usd_per_ton,
    summed.ulb / 2e9 as tons,
    cast(summed.ulb / 2000 * damage_costs.usd_per_ton as bigint) / 1e6 as usd,
    damage_costs.source,
    'assumption of the district' as label
from damage_costs
inner join summed using (material_class)
order by season, name, material_class;
