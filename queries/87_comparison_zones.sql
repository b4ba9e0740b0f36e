-- comparison_zones: which closed storm and zone is compared, how many route-storms it left out, and
--          what its crews had worked before.
-- grain:   one row per storm_id, zone_id
-- reads:   comparison_classes, comparison_routes, storm_passes, crew_storms, run
-- units:   _routes a number; acetate_passes a number; acetate_prior_storms a number, summed over
--          these passes
-- empty:   no closed storm, no row; acetate_ is the compared class; a storm without a pass of it
--          has 0
-- formula: definitions, "Comparison": compared where routes of both classes count and neither
--          class lost over a tenth of its lane-miles; mean prior_storms is over the storm's
--          treating passes of the compared class, solid or liquid, on whatever route
create or replace table comparison_zones as
with zones_seen as (
    select
        season,
        storm_id,
        zone_id,
        run_began_at,
        bool_or(loses_too_much) as loses_too_much,
        min(routes) > 0 as has_both
    from comparison_classes
    group by season, storm_id, zone_id, run_began_at
),
reasons as (
    select
        storm_id,
        zone_id,
        count(*) filter (where left_out = 'mixed') as mixed_routes,
        count(*) filter (where left_out = 'unmeasured') as unmeasured_routes,
        count(*) filter (where left_out = 'no record') as no_record_routes,
        count(*) filter (where left_out = 'no class') as no_class_routes
    from comparison_routes
    group by storm_id, zone_id
),
experience as (
    select distinct storm_id, crew_id, prior_storms
    from crew_storms
    cross join run
    where material_class = run.compare
),
prior as (
    select
        storm_passes.storm_id,
        count(*) as acetate_passes,
        sum(experience.prior_storms) as acetate_prior_storms
    from storm_passes
    cross join run
    inner join experience using (storm_id, crew_id)
    where storm_passes.is_treating and storm_passes.material_class = run.compare
    group by storm_passes.storm_id
)
select
    zones_seen.season,
    zones_seen.storm_id,
    zones_seen.zone_id,
    zones_seen.run_began_at,
    zones_seen.has_both and not zones_seen.loses_too_much as is_compared,
    zones_seen.loses_too_much,
    coalesce(reasons.mixed_routes, 0) as mixed_routes,
    coalesce(reasons.unmeasured_routes, 0) as unmeasured_routes,
    coalesce(reasons.no_record_routes, 0) as no_record_routes,
    coalesce(reasons.no_class_routes, 0) as no_class_routes,
    coalesce(prior.acetate_passes, 0) as acetate_passes,
    coalesce(prior.acetate_prior_storms, 0) as acetate_prior_storms
from zones_seen
left join reasons using (storm_id, zone_id)
left join prior using (storm_id)
order by storm_id, zone_id;
