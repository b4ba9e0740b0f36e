-- costs: what each route's material cost in each storm, and outside storms, by material class.
-- grain:   one row per season, storm_id, route_id, material_class
-- reads:   pass_costs
-- units:   usd US dollar, prewet included; usd_per_lane_mi dollar per lane-mile of the route,
--          usd_per_treated_lane_mi per lane-mile treated; usd_per_ton dollar per ton of 2000
--          pounds, without prewet; dates local
-- empty:   storm_id on the rows of passes outside storms; usd where no pounds are known, or where a
--          price is missing for pounds other than 0; a ratio without a denominator; dates without a
--          price
-- formula: definitions, cost_usd; first_price_date and last_price_date are the days from which the
--          prices used were in force
create or replace table costs as
with summed as (
    select
        season, storm_id, route_id, material_class,
        any_value(zone_id) as zone_id,
        any_value(route_ulane_mi) as route_ulane_mi,
        count(*) as passes,
        count(*) filter (where not is_measured) as unmeasured_passes,
        coalesce(sum(lane_ulane_mi), 0) as treated_ulane_mi,
        sum(applied_ulb) as applied_ulb,
        sum(material_uusd) as material_uusd,
        case when bool_and(cost_uusd is not null)
            and bool_or(has_pounds) then sum(cost_uusd) end as cost_uusd,
        min(price_from_date) as first_price_date,
        max(price_from_date) as last_price_date
    from pass_costs
    group by season, storm_id, route_id, material_class
)
select
    season, storm_id, zone_id, route_id, material_class, passes, unmeasured_passes,
    route_ulane_mi / 1e6 as route_lane_miles,
    treated_ulane_mi / 1e6 as treated_lane_miles,
    applied_ulb / 1e6 as applied_lb,
    cost_uusd / 1e6 as usd,
    cost_uusd / nullif(route_ulane_mi, 0) as usd_per_lane_mi,
    cost_uusd / nullif(treated_ulane_mi, 0) as usd_per_treated_lane_mi,
    case when cost_uusd is not null
        then material_uusd / nullif(applied_ulb, 0) * 2000 end as usd_per_ton,
    first_price_date,
    last_price_date
from summed
order by season, storm_id nulls first, route_id, material_class;
