-- break_even: the price at which the compared class would have cost what the one beside did.
-- grain:   one row per season
-- reads:   comparison_routes, comparison_zones, pass_costs, run
-- units:   acetate_ is the compared class, chloride_ the one beside; per_lane_mi of the routes'
--          lane-miles, summed over storms; usd_per_ton dollar per ton of 2000 pounds, without
--          prewet; ratios 1
-- empty:   a season without a compared storm and zone has no row; a ratio without a denominator;
--          the break-even price where prewet alone costs more than the routes beside
-- formula: the routes and storms of the comparison, those whose price is known, where both classes
--          have such routes. break_even_usd_per_ton = (chloride usd - acetate prewet usd) per
--          lane-mile / acetate tons per lane-mile; break_even_price_ratio = that / the chloride
--          price; break_even_pound_ratio = chloride price / acetate price: acetate pounds a
--          chloride pound at equal cost
create or replace table break_even as
with compared as (
    select
        comparison_routes.*,
        comparison_routes.route_class as material_class,
        count(distinct comparison_routes.route_class)
            over (partition by comparison_routes.storm_id, comparison_routes.zone_id) as classes
    from comparison_routes
    inner join comparison_zones using (storm_id, zone_id)
    where comparison_zones.is_compared and comparison_routes.left_out is null
        and comparison_routes.cost_uusd is not null
),
spent as (
    select storm_id, route_id, material_class, sum(material_uusd) as material_uusd,
        min(price_from_date) as first_price_date, max(price_from_date) as last_price_date
    from pass_costs
    where form = 'solid' and storm_id is not null
    group by storm_id, route_id, material_class
),
summed as (
    select compared.season, compared.material_class, count(distinct compared.storm_id) as storms,
        count(distinct compared.route_id) as routes,
        sum(compared.route_ulane_mi) as ulane_mi, sum(compared.applied_ulb) as ulb,
            sum(compared.cost_uusd) as uusd,
        coalesce(sum(spent.material_uusd), 0) as material_uusd,
        sum(spent.material_uusd) / nullif(sum(compared.applied_ulb), 0) * 2000 as usd_per_ton,
        min(spent.first_price_date) as first_price_date,
            max(spent.last_price_date) as last_price_date
    from compared
    left join spent using (storm_id, route_id, material_class)
    where compared.classes = 2
    group by compared.season, compared.material_class
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
    nullif(greatest(chloride_usd_per_lane_mi - (acetate.uusd - acetate.material_uusd)
        / nullif(acetate.ulane_mi, 0), 0), 0)
        / nullif(acetate_lb_per_lane_mi, 0) * 2000 as break_even_usd_per_ton,
    break_even_usd_per_ton / nullif(chloride.usd_per_ton, 0) as break_even_price_ratio,
    chloride.usd_per_ton / nullif(acetate.usd_per_ton, 0) as break_even_pound_ratio
from summed as acetate
cross join run
inner join summed as chloride
    on chloride.season = acetate.season and chloride.material_class = run.beside
where acetate.material_class = run.compare
order by season;
