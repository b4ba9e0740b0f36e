-- watershed_storms: chloride and the compared class put down in each watershed, by storm.
-- grain:   one row per season, storm_id, watershed
-- reads:   storm_passes, materials, routes, chloride_kept_off, run
-- units:   chloride_lb, kept_off_lb pound of chloride; acetate_lb pound of the compared class,
--          prewet included; oxygen_demand_lb pound of oxygen: a load, not a concentration
-- empty:   storm_id on the rows of passes outside storms; watershed where routes.csv names none;
--          chloride_lb, acetate_lb and oxygen_demand_lb hold what is known, and are empty in place
--          of 0 where unmeasured_passes put some down; kept_off_lb and kept_off_basis where no
--          route could be compared; oxygen_demand_lb where a material with pounds lacks its figure
-- formula: chloride_lb by definitions; oxygen_demand_lb = acetate_lb x the material's
--          oxygen_demand_lb_per_lb; kept_off_lb sums chloride_kept_off, and kept_off_routes of
--          acetate_routes tell how much of it is known
create or replace table watershed_storms as
with treating as (
    select
        storm_passes.season,
        storm_passes.storm_id,
        storm_passes.route_id,
        routes.watershed,
        storm_passes.is_measured,
        materials.class = run.compare as is_compared,
        coalesce(materials.chloride_fraction, 0) > 0 as has_chloride,
        storm_passes.chloride_ulb,
        case when materials.class = run.compare then coalesce(storm_passes.applied_ulb, 0)
            else 0 end as applied_ulb,
        case when prewets.class = run.compare then coalesce(storm_passes.prewet_ulb, 0)
            else 0 end as prewet_ulb,
        materials.oxygen_demand_lb_per_lb as oxygen_per_lb,
        prewets.oxygen_demand_lb_per_lb as prewet_oxygen_per_lb
    from storm_passes
    cross join run
    inner join routes using (route_id)
    inner join materials using (material_id)
    left join materials as prewets on prewets.material_id = storm_passes.prewet_material_id
    where storm_passes.is_treating
),
weighed as (
    select
        *,
        cast(case when applied_ulb = 0 then 0 else applied_ulb * oxygen_per_lb end
            + case when prewet_ulb = 0 then 0 else prewet_ulb * prewet_oxygen_per_lb end as bigint)
                as oxygen_ulb
    from treating
),
summed as (
    select
        season,
        storm_id,
        watershed,
        count(distinct route_id) as routes,
        count(*) filter (where not is_measured) as unmeasured_passes,
        nullif(sum(chloride_ulb), case when bool_or(has_chloride and not is_measured) then 0 end)
            as chloride_ulb,
        nullif(sum(applied_ulb + prewet_ulb),
            case when bool_or(is_compared and not is_measured) then 0 end) as acetate_ulb,
        case when bool_and(oxygen_ulb is not null) then nullif(sum(oxygen_ulb),
            case when bool_or(is_compared and not is_measured) then 0 end) end as oxygen_ulb
    from weighed
    group by season, storm_id, watershed
),
kept_off as (
    select
        chloride_kept_off.storm_id,
        routes.watershed,
        count(*) as acetate_routes,
        count(chloride_kept_off.basis) as kept_off_routes,
        sum(cast(chloride_kept_off.kept_off_lb * 1e6 as bigint)) as kept_off_ulb,
        string_agg(distinct chloride_kept_off.basis, '; ' order by chloride_kept_off.basis)
            as kept_off_basis
    from chloride_kept_off
    inner join routes using (route_id)
    group by chloride_kept_off.storm_id, routes.watershed
)
select
    summed.season,
    summed.storm_id,
    summed.watershed,
    summed.routes,
    summed.chloride_ulb / 1e6 as chloride_lb,
    summed.acetate_ulb / 1e6 as acetate_lb,
    coalesce(kept_off.acetate_routes, 0) as acetate_routes,
    coalesce(kept_off.kept_off_routes, 0) as kept_off_routes,
    kept_off.kept_off_ulb / 1e6 as kept_off_lb,
    kept_off.kept_off_basis,
    summed.oxygen_ulb / 1e6 as oxygen_demand_lb,
    summed.unmeasured_passes
from summed
left join kept_off
    on kept_off.storm_id = summed.storm_id
        and kept_off.watershed is not distinct from summed.watershed
order by season, storm_id nulls first, watershed nulls first;
