-- chloride_kept_off: chloride that a route would have got in a storm, less what it got.
-- grain:   one row per storm_id, route_id
-- reads:   treatments, storm_routes, storms, run, pairs, assignments
-- units:   expected_lb, chloride_lb, kept_off_lb pound of chloride; acetate_lane_miles lane-mile
--          of the compared class
-- empty:   a route without placed solids of the compared class in the storm has no row; basis,
--          expected_lb and kept_off_lb where nothing can be compared
-- formula: first that exists: the route's own chloride per lane-mile treated in earlier seasons'
--          storms without the compared class, x its lane-miles treated, less the chloride in those
--          passes' prewet; chloride per route lane-mile of its paired routes in the same storm,
--          else of the zone's routes assigned to the class beside, x route lane-miles, less the
--          chloride that the route got. Solids with their prewet; route-storms with unmeasured
--          passes never count as a basis
create or replace table chloride_kept_off as
with solids as (
    select
        storm_id,
        route_id,
        any_value(season) as season,
        any_value(route_ulane_mi) as route_ulane_mi,
        sum(treated_ulane_mi) filter (where material_class = run.compare) as acetate_ulane_mi,
        coalesce(sum(treated_ulane_mi) filter (where material_class = run.beside), 0)
            as chloride_ulane_mi,
        coalesce(sum(chloride_ulb), 0) as chloride_ulb,
        coalesce(sum(chloride_ulb) filter (where material_class = run.compare), 0)
            as acetate_chloride_ulb,
        sum(unmeasured_passes) as unmeasured_passes
    from treatments
    cross join run
    where form = 'solid' and material_class in (run.compare, run.beside)
    group by storm_id, route_id
),
visited as (
    select distinct
        storm_routes.storm_id,
        storm_routes.zone_id,
        storm_routes.route_id,
        cast(storm_routes.route_lane_miles * 1e6 as bigint) as route_ulane_mi,
        cast(timezone(run.time_zone, storms.run_began_at) as date) as storm_date
    from storm_routes
    cross join run
    inner join storms using (storm_id, zone_id)
),
wanted as (
    select solids.*, visited.zone_id
    from solids
    inner join visited using (storm_id, route_id)
    where solids.acetate_ulane_mi > 0
),
earlier as (
    select wanted.storm_id, wanted.route_id,
        sum(past.chloride_ulb) / sum(past.chloride_ulane_mi) as lb_per_lane_mi
    from wanted
    inner join solids as past on past.route_id = wanted.route_id and past.season < wanted.season
    where past.acetate_ulane_mi is null and past.unmeasured_passes = 0
        and past.chloride_ulane_mi > 0
    group by wanted.storm_id, wanted.route_id
),
beside as (
    select visited.*, coalesce(solids.chloride_ulb, 0) as chloride_ulb
    from visited
    left join solids using (storm_id, route_id)
    where solids.acetate_ulane_mi is null and coalesce(solids.unmeasured_passes, 0) = 0
),
pair_rates as (
    select wanted.storm_id, wanted.route_id,
        sum(beside.chloride_ulb) / sum(beside.route_ulane_mi) as lb_per_lane_mi
    from wanted
    inner join pairs on pairs.acetate_route_id = wanted.route_id
    inner join beside on beside.storm_id = wanted.storm_id
        and beside.route_id = pairs.chloride_route_id
    group by wanted.storm_id, wanted.route_id
),
zone_rates as (
    select beside.storm_id, beside.zone_id,
        sum(beside.chloride_ulb) / sum(beside.route_ulane_mi) as lb_per_lane_mi
    from beside
    cross join run
    inner join assignments
        on assignments.route_id = beside.route_id and assignments.material_class = run.beside
        and beside.storm_date between assignments.from_date and coalesce(
            assignments.to_date, date '9999-12-31')
    group by beside.storm_id, beside.zone_id
),
judged as (
    select
        wanted.*,
        case
            when earlier.lb_per_lane_mi is not null
                then 'own earlier seasons, per lane-mile treated'
            when pair_rates.lb_per_lane_mi is not null then 'paired routes, same storm'
            when zone_rates.lb_per_lane_mi is not null
                then run.beside || ' routes of the zone, same storm'
        end as basis,
        cast(case
            when earlier.lb_per_lane_mi is not null
                then earlier.lb_per_lane_mi * wanted.acetate_ulane_mi - wanted.acetate_chloride_ulb
            else coalesce(pair_rates.lb_per_lane_mi, zone_rates.lb_per_lane_mi)
                * wanted.route_ulane_mi - wanted.chloride_ulb
        end as bigint) as kept_off_ulb
    from wanted
    cross join run
    left join earlier using (storm_id, route_id)
    left join pair_rates using (storm_id, route_id)
    left join zone_rates using (storm_id, zone_id)
)
select
    season,
    storm_id,
    route_id,
    acetate_ulane_mi / 1e6 as acetate_lane_miles,
    chloride_ulb / 1e6 as chloride_lb,
    (kept_off_ulb + chloride_ulb) / 1e6 as expected_lb,
    kept_off_ulb / 1e6 as kept_off_lb,
    basis
from judged
order by storm_id, route_id;
