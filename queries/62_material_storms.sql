-- material_storms: what each closed storm took of each material.
-- grain:   one row per storm_id, material_id
-- reads:   storms, materials, storm_passes, pass_corrections
-- units:   use_ulb millionth of a pound, weighed where the pass has corrected pounds; liquids and prewet in dry pounds
-- empty:   a storm that took none of a material has 0; an open storm has no row
-- formula: definitions, "Stock outlook": the storms that pounds are drawn from
create or replace table material_storms as
with closed as (
    select storm_id, any_value(season) as season, min(run_began_at) as run_began_at
    from storms
    group by storm_id
    having not bool_or(is_open)
),
taken as (
    select storm_passes.storm_id, storm_passes.material_id, coalesce(pass_corrections.corrected_ulb, storm_passes.applied_ulb) as use_ulb
    from storm_passes
    left join pass_corrections on pass_corrections.pass_no = storm_passes.pass_no
    where storm_passes.is_treating
    union all by name
    select storm_id, prewet_material_id as material_id, prewet_ulb as use_ulb
    from storm_passes
    where prewet_ulb > 0
),
sums as (
    select storm_id, material_id, cast(sum(use_ulb) as bigint) as use_ulb
    from taken
    where storm_id is not null
    group by storm_id, material_id
)
select
    closed.season,
    closed.storm_id,
    closed.run_began_at,
    materials.material_id,
    coalesce(sums.use_ulb, 0) as use_ulb
from closed
cross join materials
left join sums on sums.storm_id = closed.storm_id and sums.material_id = materials.material_id
order by storm_id, material_id;
