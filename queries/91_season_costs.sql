-- season_costs: what each class of material cost in a season, beside the budget.
-- grain:   one row per season, material_class
-- reads:   pass_costs, budgets
-- units:   usd US dollar, prewet included; usd_per_lane_mi dollar per lane-mile of the routes that
--          got the class; usd_per_treated_lane_mi dollar per lane-mile treated; usd_per_ton dollar
--          per ton of 2000 pounds, without prewet; unpriced_lb pound; budget_share 1
-- empty:   usd, what follows from it and budget_left_usd where a price is missing for pounds other
--          than 0 (unpriced_lb says how many) or no pounds are known; the budget columns without a
--          budget; dates without a price. A budget without passes has a row with 0
-- formula: definitions, cost_usd; storms_usd + outside_usd = usd
create or replace table season_costs as
with spent as (
    select
        season,
        material_class,
        count(*) as passes,
        count(*) filter (where not is_measured) as unmeasured_passes,
        coalesce(sum(lane_ulane_mi), 0) as treated_ulane_mi,
        sum(applied_ulb) as applied_ulb,
        sum(prewet_ulb) as prewet_ulb,
        sum(material_uusd) as material_uusd,
        bool_and(cost_uusd is not null) and bool_or(has_pounds) as is_known,
        coalesce(sum(cost_uusd) filter (where storm_id is not null), 0) as storms_uusd,
        coalesce(sum(cost_uusd) filter (where storm_id is null), 0) as outside_uusd,
        coalesce(sum(coalesce(applied_ulb, 0) + coalesce(prewet_ulb, 0))
            filter (where cost_uusd is null), 0) as unpriced_ulb,
        min(price_from_date) as first_price_date,
        max(price_from_date) as last_price_date
    from pass_costs
    group by season, material_class
),
lengths as (
    select season, material_class, sum(route_ulane_mi) as route_ulane_mi
    from (select distinct season, material_class, route_id, route_ulane_mi from pass_costs)
    group by season, material_class
),
judged as (
    select
        season,
        material_class,
        coalesce(spent.is_known, true) as is_known,
        spent.* exclude (season, material_class, is_known),
        budgets.budget_usd,
        cast(budgets.budget_usd * 1e6 as bigint) as budget_uusd
    from spent
    full join budgets using (season, material_class)
),
totalled as (
    select
        judged.*,
        lengths.route_ulane_mi,
        case when is_known then coalesce(storms_uusd + outside_uusd, 0) end as total_uusd
    from judged
    left join lengths using (season, material_class)
)
select
    season,
    material_class,
    coalesce(passes, 0) as passes,
    coalesce(unmeasured_passes, 0) as unmeasured_passes,
    coalesce(route_ulane_mi, 0) / 1e6 as route_lane_miles,
    coalesce(treated_ulane_mi, 0) / 1e6 as treated_lane_miles,
    case when passes is null then 0 else applied_ulb / 1e6 end as applied_lb,
    coalesce(prewet_ulb, 0) / 1e6 as prewet_lb,
    total_uusd / 1e6 as usd,
    case when is_known then coalesce(storms_uusd, 0) / 1e6 end as storms_usd,
    case when is_known then coalesce(outside_uusd, 0) / 1e6 end as outside_usd,
    coalesce(unpriced_ulb, 0) / 1e6 as unpriced_lb,
    total_uusd / nullif(route_ulane_mi, 0) as usd_per_lane_mi,
    total_uusd / nullif(treated_ulane_mi, 0) as usd_per_treated_lane_mi,
    case when is_known then material_uusd / nullif(applied_ulb, 0) * 2000 end as usd_per_ton,
    first_price_date,
    last_price_date,
    budget_usd,
    (budget_uusd - total_uusd) / 1e6 as budget_left_usd,
    total_uusd / nullif(budget_uusd, 0) as budget_share
from totalled
order by season, material_class;
