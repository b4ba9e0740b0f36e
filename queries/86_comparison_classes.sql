-- comparison_classes: sums over the routes of each class that count in a closed storm and zone, and
--          the lane-miles that were left out.
-- grain:   one row per storm_id, zone_id, material_class
-- reads:   storms, comparison_routes, run
-- units:   _ulb millionth of a pound; _ulane_mi millionth of a lane-mile; cost_uusd millionth of a
--          dollar; regain_sum microsecond times millionth of a lane-mile; routes a number
-- empty:   sums of a class without routes are 0; cost_uusd where a route's cost is unknown
-- formula: definitions, "Comparison"; the tenth of a class's lane-miles beyond which a row has no
--          ratios is the definition's own
create or replace table comparison_classes as
with sides as (
    select
        storms.season,
        storms.storm_id,
        storms.zone_id,
        storms.run_began_at,
        unnest([run.compare, run.beside]) as material_class
    from storms
    cross join run
    where not storms.is_open
),
sums as (
    select
        storm_id,
        zone_id,
        route_class as material_class,
        count(*) filter (where left_out is null) as routes,
        sum(applied_ulb) filter (where left_out is null) as applied_ulb,
        sum(unplaced_ulb) filter (where left_out is null) as unplaced_ulb,
        sum(measured_ulane_mi) filter (where left_out is null) as measured_ulane_mi,
        sum(treated_ulane_mi) filter (where left_out is null) as treated_ulane_mi,
        sum(route_ulane_mi) filter (where left_out is null) as route_ulane_mi,
        sum(cost_uusd) filter (where left_out is null) as cost_uusd,
        bool_or(cost_uusd is null) filter (where left_out is null) as lacks_cost,
        sum(cast(regain_us as hugeint) * route_ulane_mi)
            filter (where left_out is null) as regain_sum,
        sum(route_ulane_mi) filter (where left_out is null and regain_us is not null)
            as bare_ulane_mi,
        sum(route_ulane_mi) filter (where left_out is not null) as left_out_ulane_mi,
        sum(route_ulane_mi) as class_ulane_mi
    from comparison_routes
    group by storm_id, zone_id, route_class
)
select
    sides.season,
    sides.storm_id,
    sides.zone_id,
    sides.run_began_at,
    sides.material_class,
    coalesce(sums.routes, 0) as routes,
    coalesce(sums.applied_ulb, 0) as applied_ulb,
    coalesce(sums.unplaced_ulb, 0) as unplaced_ulb,
    coalesce(sums.measured_ulane_mi, 0) as measured_ulane_mi,
    coalesce(sums.treated_ulane_mi, 0) as treated_ulane_mi,
    coalesce(sums.route_ulane_mi, 0) as route_ulane_mi,
    case when not coalesce(sums.lacks_cost, false)
        then coalesce(sums.cost_uusd, 0) end as cost_uusd,
    coalesce(sums.regain_sum, 0) as regain_sum,
    coalesce(sums.bare_ulane_mi, 0) as bare_ulane_mi,
    coalesce(10 * sums.left_out_ulane_mi > sums.class_ulane_mi, false) as loses_too_much
from sides
left join sums using (storm_id, zone_id, material_class)
order by storm_id, zone_id, material_class;
