-- sheet_differences: where a pass sheet and vehicle positions say different things of one pass.
-- grain:   one row per pass_key, what
-- reads:   pass_sheets, pass_sheets_tracked, routes, run
-- units:   amount: positions over sheet, share of 1
-- empty:   amount of a difference in names
-- formula: own rule: another route; another material; lane-miles or pounds that differ by more than reconcile_tolerance. The positions' measures count
create or replace table sheet_differences as
with compared as (
    select
        sheets.pass_key,
        sheets.truck_id,
        sheets.began_at,
        sheets.route_id,
        sheets.material_id,
        measured.material_id as crumb_material_id,
        measured.is_same_route,
        measured.route_ids,
        run.reconcile_tolerance,
        coalesce(
            sheets.lane_miles, nullif(abs(sheets.to_mi - sheets.from_mi), 0) * coalesce(sheets.lanes, routes.lanes_per_pass)
        ) as sheet_lane_miles,
        measured.lane_ulane_mi / 1e6 as crumb_lane_miles,
        sheets.dispensed_lb as sheet_lb,
        measured.dispensed_lb as crumb_lb
    from pass_sheets as sheets
    cross join run
    inner join pass_sheets_tracked as measured on measured.pass_key = sheets.pass_key
    inner join routes on routes.route_id = sheets.route_id
),

differing as (
    select pass_key, truck_id, began_at, 'route' as what, null as amount, concat('sheet: route ', route_id, '; positions: ', route_ids) as detail
    from compared
    where not is_same_route
    union all
    select pass_key, truck_id, began_at, 'material' as what, null as amount,
        concat('sheet: ', coalesce(material_id, 'no material'), '; positions: ', crumb_material_id) as detail
    from compared
    where crumb_material_id is distinct from material_id and crumb_material_id is not null
    union all
    select pass_key, truck_id, began_at, 'lane-miles' as what, crumb_lane_miles / sheet_lane_miles as amount,
        printf('sheet: %.1f lane-miles; positions: %.1f', sheet_lane_miles, crumb_lane_miles) as detail
    from compared
    where abs(crumb_lane_miles - sheet_lane_miles) > reconcile_tolerance * sheet_lane_miles and crumb_lane_miles > 0
    union all
    select pass_key, truck_id, began_at, 'pounds' as what, crumb_lb / nullif(sheet_lb, 0) as amount,
        printf('sheet: %.0f lb; positions: %.0f lb', sheet_lb, crumb_lb) as detail
    from compared
    where abs(crumb_lb - sheet_lb) > reconcile_tolerance * sheet_lb
)

select *
from differing
order by pass_key, what;
