-- sheet_differences: where a pass sheet and vehicle positions say different things of one pass.
-- grain:   one row per pass_key, what
-- reads:   pass_sheets, pass_sheets_tracked, pass_sheets_beside, pass_sheets_met, crumb_passes_counted, materials, routes, run
-- units:   amount: positions over sheet, share of 1
-- empty:   amount of a difference in names or time, and where nothing went out
-- formula: own rule: another route, crew or material; lane-miles or pounds that differ by more than reconcile_tolerance, and pounds where nothing went
--          out though the truck's positions tell spreading; time: both count though they share a minute, since they share less than half of the
--          shorter one's time, or the pass is another sheet's. Where the two are one pass the positions' measures count
create or replace table sheet_differences as
with compared as (
    select
        sheets.pass_key,
        sheets.truck_id,
        sheets.began_at,
        sheets.route_id,
        sheets.crew_id,
        sheets.material_id,
        measured.crew_ids,
        measured.is_treating,
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

telling_trucks as (
    select distinct truck_id
    from crumb_passes_counted
    where is_treating
),

beside as (
    select
        sheets.pass_key,
        sheets.truck_id,
        sheets.began_at,
        concat(
            'sheet: ', strftime(timezone(run.time_zone, sheets.began_at), '%H:%M'), ' to ', strftime(timezone(run.time_zone, sheets.ended_at), '%H:%M'),
            '; positions: ', strftime(timezone(run.time_zone, crumbs.began_at), '%H:%M'), ' to ', strftime(timezone(run.time_zone, crumbs.ended_at), '%H:%M'),
            ' on route ', crumbs.route_id, case when of_others.crumb_key is not null then ', which another sheet describes' else '' end, ': both count'
        ) as detail
    from pass_sheets_beside as near
    cross join run
    inner join crumb_passes_counted as crumbs on crumbs.pass_key = near.crumb_key
    inner join pass_sheets as sheets on sheets.pass_key = near.pass_key
    left join materials on materials.material_id = sheets.material_id
    left join pass_sheets_tracked as measured on measured.pass_key = near.pass_key
    left join (select distinct crumb_key from pass_sheets_met) as of_others on of_others.crumb_key = near.crumb_key
    where near.together_us >= least(60000000, near.sheet_us)
        and (not crumbs.is_treating or crumbs.material_id is not null or of_others.crumb_key is not null)
        and case
            when of_others.crumb_key is null then near.is_same_route or measured.pass_key is null
            else measured.pass_key is null and crumbs.is_treating and materials.form = 'solid'
        end
),

differing as (
    select pass_key, truck_id, began_at, 'time' as what, null as amount, string_agg(detail, '; ' order by detail) as detail
    from beside
    group by pass_key, truck_id, began_at
    union all
    select pass_key, truck_id, began_at, 'crew' as what, null as amount, concat('sheet: crew ', crew_id, '; positions: ', crew_ids) as detail
    from compared
    where crew_ids <> crew_id
    union all
    select compared.pass_key, compared.truck_id, compared.began_at, 'pounds' as what, null as amount,
        printf('sheet: %.0f lb; positions: nothing went out', compared.sheet_lb) as detail
    from compared
    semi join telling_trucks on telling_trucks.truck_id = compared.truck_id
    where not compared.is_treating and compared.sheet_lb > 0
    union all
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
