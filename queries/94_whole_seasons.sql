-- whole_seasons: what all material of a season cost, beside the budgets, and the chloride kept off.
-- grain:   one row per season
-- reads:   season_costs, watershed_seasons
-- units:   usd US dollar; budget_share 1; kept_off_lb pound of chloride; route-storms numbers
-- empty:   usd where no class has a known cost; budget_share without a budget above 0 of such a
--          class; kept_off_lb where no route could be compared
-- formula: usd sums the classes whose cost is known; budget_share = dollars / budgets, both of
--          those that have a budget too; the rest sums over the watersheds
create or replace table whole_seasons as
with money as (
    select
        season,
        sum(cast(usd * 1e6 as bigint)) as uusd,
        sum(cast(usd * 1e6 as bigint)) filter (where budget_usd is not null) as budgeted_uusd,
        sum(cast(budget_usd * 1e6 as bigint)) filter (where usd is not null) as budget_uusd
    from season_costs
    group by season
),
water as (
    select
        season,
        sum(cast(kept_off_lb * 1e6 as bigint)) as kept_off_ulb,
        cast(sum(kept_off_route_storms) as bigint) as kept_off_route_storms,
        cast(sum(acetate_route_storms) as bigint) as acetate_route_storms
    from watershed_seasons
    group by season
)
select
    season,
    money.uusd / 1e6 as usd,
    money.budgeted_uusd / nullif(money.budget_uusd, 0) as budget_share,
    water.kept_off_ulb / 1e6 as kept_off_lb,
    coalesce(water.kept_off_route_storms, 0) as kept_off_route_storms,
    coalesce(water.acetate_route_storms, 0) as acetate_route_storms
from money
full join water using (season)
order by season;
