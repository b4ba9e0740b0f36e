-- pass_measures: lane-miles, pounds, chloride and cost of every pass.
-- grain:   one row per pass_no
-- reads:   passes, local_dates, routes, materials, prices
-- units:   lane_ulane_mi millionth of a lane-mile; applied_ulb, prewet_ulb, chloride_ulb millionth of a pound; cost_uusd millionth
--          of a dollar; route_umi and route_ulane_mi of the whole route
-- empty:   lane_ulane_mi unless placed; applied_ulb unless measured; material_class, form, is_by_set_rate and pounds of a plow-only pass;
--          prewet_ulb without prewet or with an unknown liquid; cost_uusd where a price is missing for pounds other than 0
-- formula: definitions, "Pounds and lane-miles of a pass", chloride_lb and cost_usd; is_by_set_rate: a solid's pounds are the set rate's;
--          is_unlocated: lane-miles are given, and no miles
create or replace table pass_measures as
with known as (
    select
        passes.pass_no,
        passes.began_at,
        passes.purpose,
        passes.material_id,
        local_dates.local_date,
        routes.zone_id,
        materials.class,
        materials.form,
        materials.lowest_working_f,
        materials.chloride_fraction,
        passes.material_id is not null and coalesce(
            case when materials.form = 'liquid' then passes.dispensed_gal else passes.dispensed_lb end, 1
        ) <> 0 as is_treating,
        coalesce(passes.lanes, routes.lanes_per_pass) as lanes,
        case
            when passes.lane_miles is not null then passes.lane_miles
            when passes.from_mi <> passes.to_mi then
                abs(passes.to_mi - passes.from_mi) * coalesce(passes.lanes, routes.lanes_per_pass)
            when passes.from_mi is null and passes.to_mi is null then
                coalesce(nullif(abs(routes.to_mi - routes.from_mi), 0), routes.lane_miles / nullif(routes.lanes, 0))
                * coalesce(passes.lanes, routes.lanes_per_pass)
        end as lane_miles,
        passes.from_mi is null and passes.lane_miles is not null as is_unlocated,
        passes.dispensed_lb,
        passes.rate_set_lb_per_lane_mi,
        passes.dispensed_gal * materials.dry_lb_per_gal as liquid_lb,
        passes.prewet_gal,
        passes.prewet_material_id,
        passes.prewet_gal * prewets.dry_lb_per_gal as prewet_lb,
        prewets.chloride_fraction as prewet_chloride_fraction,
        cast(abs(routes.to_mi - routes.from_mi) * 1e6 as bigint) as route_umi,
        cast(routes.lane_miles * 1e6 as bigint) as route_ulane_mi
    from passes
    inner join local_dates on local_dates.minute_no = epoch_us(passes.began_at) // 60000000
    inner join routes on routes.route_id = passes.route_id
    left join materials on materials.material_id = passes.material_id
    left join materials as prewets on prewets.material_id = passes.prewet_material_id
),
weighed as (
    select
        *,
        case
            when not is_treating then null
            when form = 'liquid' then liquid_lb
            else coalesce(dispensed_lb, rate_set_lb_per_lane_mi * lane_miles)
        end as applied_lb,
        case when is_treating then prewet_lb end as wetting_lb
    from known
),
price_spans as (
    select
        material_id,
        usd_per_ton,
        from_date,
        lead(from_date, 1, date '9999-12-31') over (partition by material_id order by from_date) as next_date
    from prices
),
priced as (
    select
        weighed.*,
        applied_prices.usd_per_ton as applied_usd_per_ton,
        prewet_prices.usd_per_ton as prewet_usd_per_ton
    from weighed
    left join price_spans as applied_prices
        on applied_prices.material_id = weighed.material_id and applied_prices.from_date <= weighed.local_date
        and weighed.local_date < applied_prices.next_date
    left join price_spans as prewet_prices
        on prewet_prices.material_id = weighed.prewet_material_id and prewet_prices.from_date <= weighed.local_date
        and weighed.local_date < prewet_prices.next_date
)
select
    pass_no,
    began_at,
    local_date,
    zone_id,
    case when is_treating then class end as material_class,
    case when is_treating then form end as form,
    is_treating,
    lane_miles is not null as is_placed,
    applied_lb is not null as is_measured,
    form <> 'liquid' and applied_lb is not null and dispensed_lb is null as is_by_set_rate,
    is_unlocated,
    is_treating and prewet_gal > 0 as has_prewet,
    purpose,
    lanes,
    lowest_working_f,
    route_umi,
    route_ulane_mi,
    cast(lane_miles * 1e6 as bigint) as lane_ulane_mi,
    cast(applied_lb * 1e6 as bigint) as applied_ulb,
    cast(wetting_lb * 1e6 as bigint) as prewet_ulb,
    cast((coalesce(applied_lb * chloride_fraction, 0) + coalesce(wetting_lb * prewet_chloride_fraction, 0)) * 1e6 as bigint) as chloride_ulb,
    cast((
        case when coalesce(applied_lb, 0) = 0 then 0 else applied_lb / 2000 * applied_usd_per_ton end
        + case when coalesce(wetting_lb, 0) = 0 then 0 else wetting_lb / 2000 * prewet_usd_per_ton end
    ) * 1e6 as bigint) as cost_uusd
from priced;
