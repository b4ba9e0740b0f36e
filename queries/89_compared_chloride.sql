-- compared_chloride: chloride put on the routes that a season compares, and what acetate routes were spared.
-- grain:   one row per season
-- reads:   comparison_routes, comparison_zones, storm_routes
-- units:   _lb_per_lane_mi pound of chloride per lane-mile of route and storm; kept_off_lb pound; unknown_route_storms a number
-- empty:   kept_off_lb and a class's figure where that class has no compared route; all of them where some route's chloride is unknown
-- formula: sum of chloride_lb over sum of route lane-miles, solids, liquids and prewet, each route once a compared storm;
--          kept_off_lb = (chloride routes' figure - acetate routes' figure) x the acetate routes' lane-miles
create or replace table compared_chloride as
with put as (
    select
        storm_id,
        route_id,
        sum(cast(round_even(chloride_lb * 1e6, 0) as bigint)) as chloride_ulb,
        bool_or(chloride_lb is null and material_class is not null and applied_lb is not null) as is_unknown
    from storm_routes
    group by storm_id, route_id
),
compared as (
    select
        comparison_routes.season,
        comparison_routes.route_class,
        comparison_routes.route_ulane_mi,
        coalesce(put.chloride_ulb, 0) as chloride_ulb,
        coalesce(put.is_unknown, false) as is_unknown
    from comparison_routes
    inner join comparison_zones
        on comparison_zones.storm_id = comparison_routes.storm_id and comparison_zones.zone_id = comparison_routes.zone_id
    left join put on put.storm_id = comparison_routes.storm_id and put.route_id = comparison_routes.route_id
    where comparison_zones.is_compared and comparison_routes.left_out is null
),
sums as (
    select
        season,
        sum(chloride_ulb) filter (where route_class = 'acetate') as acetate_chloride_ulb,
        sum(route_ulane_mi) filter (where route_class = 'acetate') as acetate_ulane_mi,
        sum(chloride_ulb) filter (where route_class = 'chloride') as chloride_chloride_ulb,
        sum(route_ulane_mi) filter (where route_class = 'chloride') as chloride_ulane_mi,
        count(*) filter (where is_unknown) as unknown_route_storms
    from compared
    group by season
),
figures as (
    select
        season,
        acetate_ulane_mi,
        case when unknown_route_storms = 0 then acetate_chloride_ulb / nullif(acetate_ulane_mi, 0) end as acetate_chloride_lb_per_lane_mi,
        case when unknown_route_storms = 0 then chloride_chloride_ulb / nullif(chloride_ulane_mi, 0) end as chloride_chloride_lb_per_lane_mi,
        unknown_route_storms
    from sums
)
select
    season,
    acetate_chloride_lb_per_lane_mi,
    chloride_chloride_lb_per_lane_mi,
    (chloride_chloride_lb_per_lane_mi - acetate_chloride_lb_per_lane_mi) * acetate_ulane_mi / 1e6 as kept_off_lb,
    unknown_route_storms
from figures
order by season;
