-- material_storms: what each closed storm took of each material.
-- grain:   one row per storm_id, material_id
-- reads:   storms, materials, storm_passes, pass_corrections, material_days
-- units:   use_ulb millionth of a pound; liquids and prewet in dry pounds
-- empty:   a storm that took none of a material has 0; an open storm has no row
-- formula: definitions, "Stock outlook": the storms that pounds are drawn from; weighed pounds,
--          those of corrected passes, where the season's tickets of the material are complete, as
--          in material_days
create or replace table material_storms as
with closed as (
    select storm_id, any_value(season) as season, min(run_began_at) as run_began_at
    from storms
    group by storm_id
    having not bool_or(is_open)
),
complete as (
    select distinct season, material_id
    from material_days
    where is_weighed
),
taken as (
    select
        storm_passes.storm_id,
        storm_passes.material_id,
        case when complete.material_id is null then storm_passes.applied_ulb
            else coalesce(pass_corrections.corrected_ulb, storm_passes.applied_ulb) end as use_ulb
    from storm_passes
    left join complete using (season, material_id)
    left join pass_corrections using (pass_no)
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
