-- cost_sums: what each class of material cost in each storm, and on each route in a season.
-- grain:   one row per part, season, storm_id, route_id, material_class
-- reads:   costs
-- units:   usd US dollar, prewet included; usd_per_lane_mi dollar per lane-mile of the routes,
--          usd_per_treated_lane_mi per lane-mile treated
-- empty:   storm_id of the part route, and of passes outside storms; route_id of the part storm;
--          usd and what follows from it where one of its costs is missing; a ratio without a
--          denominator
-- formula: sums over sums; a route counts once for each storm in which it was treated, and once for
--          its passes outside storms
create or replace table cost_sums as
with summed as (
    select
        case when grouping(route_id) = 1 then 'storm' else 'route' end as part,
        season,
        storm_id,
        route_id,
        material_class,
        case when bool_and(usd is not null) then sum(cast(usd * 1e6 as bigint)) end as uusd,
        sum(cast(route_lane_miles * 1e6 as bigint)) as route_ulane_mi,
        sum(cast(treated_lane_miles * 1e6 as bigint)) as treated_ulane_mi
    from costs
    group by grouping sets (
        (season, storm_id, material_class), (season, route_id, material_class)
    )
)
select
    part,
    season,
    storm_id,
    route_id,
    material_class,
    uusd / 1e6 as usd,
    uusd / nullif(route_ulane_mi, 0) as usd_per_lane_mi,
    uusd / nullif(treated_ulane_mi, 0) as usd_per_treated_lane_mi
from summed
order by part, season, storm_id nulls first, route_id, material_class;
