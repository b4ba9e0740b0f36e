-- break_even: the acetate price at which acetate routes would have cost what chloride routes did, per lane-mile.
-- grain:   one row per season
-- reads:   storms, run, pairs, routes, assignments, storm_routes, pass_costs
-- units:   per_lane_mi of the routes' lane-miles, summed over storms; usd_per_ton dollar per ton of 2000 pounds, without prewet; ratios 1
-- empty:   a season without a closed storm and zone with both classes has no row; a ratio without a denominator; the break-even price
--          where prewet alone costs more than the chloride routes
-- formula: solids of the class that assignments.csv gives on the storm's date, on the routes of the zone's pairs where it has pairs; left
--          out as in the comparison: mixed, unmeasured or unpriced route-storms, and routes without a pass. break_even_usd_per_ton =
--          (chloride usd - acetate prewet usd) per lane-mile / acetate tons per lane-mile; break_even_price_ratio = that / the
--          chloride price; break_even_pound_ratio = chloride price / acetate price: acetate pounds a chloride pound at equal cost
create or replace table break_even as
with storm_days as (
    select storms.season, storms.storm_id, storms.zone_id, run.mixed_share, run.unmeasured_share,
        cast(timezone(run.time_zone, storms.run_began_at) as date) as storm_date
    from storms
    cross join run
    where not storms.is_open
),
paired as (
    select acetate_route_id as route_id from pairs
    union
    select chloride_route_id as route_id from pairs
),
zones_paired as (
    select distinct routes.zone_id
    from paired
    inner join routes on routes.route_id = paired.route_id
),
visited as (
    select distinct storm_id, route_id
    from storm_routes
),
assigned as (
    select storm_days.*, routes.route_id, assignments.material_class,
        cast(routes.lane_miles * 1e6 as bigint) as route_ulane_mi
    from storm_days
    inner join routes on routes.zone_id = storm_days.zone_id
    inner join visited on visited.storm_id = storm_days.storm_id and visited.route_id = routes.route_id
    inner join assignments
        on assignments.route_id = routes.route_id
        and storm_days.storm_date between assignments.from_date and coalesce(assignments.to_date, date '9999-12-31')
    left join paired on paired.route_id = routes.route_id
    left join zones_paired on zones_paired.zone_id = routes.zone_id
    where assignments.material_class in ('acetate', 'chloride')
        and (zones_paired.zone_id is null or paired.route_id is not null)
),
told as (
    select
        assigned.season, assigned.storm_id, assigned.zone_id, assigned.route_id, assigned.material_class, assigned.route_ulane_mi,
        assigned.mixed_share, assigned.unmeasured_share,
        count(pass_costs.pass_no) as passes,
        count(pass_costs.pass_no) filter (where not pass_costs.is_measured) as unmeasured,
        bool_or(pass_costs.pass_no is not null and pass_costs.cost_uusd is null) as is_unpriced,
        coalesce(sum(applied_ulb) filter (where pass_costs.material_class = assigned.material_class), 0) as own_ulb,
        coalesce(sum(applied_ulb), 0) as all_ulb,
        coalesce(sum(cost_uusd) filter (where pass_costs.material_class = assigned.material_class), 0) as cost_uusd,
        coalesce(sum(material_uusd) filter (where pass_costs.material_class = assigned.material_class), 0) as material_uusd,
        min(price_from_date) filter (where pass_costs.material_class = assigned.material_class) as first_price_date,
        max(price_from_date) filter (where pass_costs.material_class = assigned.material_class) as last_price_date
    from assigned
    left join pass_costs
        on pass_costs.storm_id = assigned.storm_id and pass_costs.route_id = assigned.route_id
        and pass_costs.form = 'solid' and pass_costs.material_class in ('acetate', 'chloride')
    group by all
),
kept as (
    select *, count(distinct material_class) over (partition by storm_id, zone_id) as classes
    from told
    where not is_unpriced and unmeasured <= unmeasured_share * passes and all_ulb - own_ulb <= mixed_share * all_ulb
),
summed as (
    select season, material_class, count(distinct storm_id) as storms, count(distinct route_id) as routes,
        sum(route_ulane_mi) as ulane_mi, sum(own_ulb) as ulb, sum(cost_uusd) as uusd, sum(material_uusd) as material_uusd,
        sum(material_uusd) / nullif(sum(own_ulb), 0) * 2000 as usd_per_ton,
        min(first_price_date) as first_price_date, max(last_price_date) as last_price_date
    from kept
    where classes = 2
    group by season, material_class
)
select
    acetate.season,
    acetate.storms,
    acetate.routes as acetate_routes,
    chloride.routes as chloride_routes,
    acetate.ulb / nullif(acetate.ulane_mi, 0) as acetate_lb_per_lane_mi,
    chloride.ulb / nullif(chloride.ulane_mi, 0) as chloride_lb_per_lane_mi,
    acetate.uusd / nullif(acetate.ulane_mi, 0) as acetate_usd_per_lane_mi,
    chloride.uusd / nullif(chloride.ulane_mi, 0) as chloride_usd_per_lane_mi,
    acetate_usd_per_lane_mi / nullif(chloride_usd_per_lane_mi, 0) as cost_ratio,
    acetate_lb_per_lane_mi / nullif(chloride_lb_per_lane_mi, 0) as pound_ratio,
    acetate.usd_per_ton as acetate_usd_per_ton,
    chloride.usd_per_ton as chloride_usd_per_ton,
    acetate.first_price_date as acetate_first_price_date,
    acetate.last_price_date as acetate_last_price_date,
    chloride.first_price_date as chloride_first_price_date,
    chloride.last_price_date as chloride_last_price_date,
    nullif(greatest(chloride_usd_per_lane_mi - (acetate.uusd - acetate.material_uusd) / nullif(acetate.ulane_mi, 0), 0), 0)
        / nullif(acetate_lb_per_lane_mi, 0) * 2000 as break_even_usd_per_ton,
    break_even_usd_per_ton / nullif(chloride.usd_per_ton, 0) as break_even_price_ratio,
    chloride.usd_per_ton / nullif(acetate.usd_per_ton, 0) as break_even_pound_ratio
from summed as acetate
inner join summed as chloride on chloride.season = acetate.season and chloride.material_class = 'chloride'
where acetate.material_class = 'acetate'
order by season;
