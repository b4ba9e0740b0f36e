-- sheet_differences: where a pass sheet and vehicle positions say different things of one pass.
-- grain:   one row per pass_key, finding_code, other_from_at, name
-- reads:   pass_sheets, pass_sheets_tracked, pass_sheets_beside, pass_sheets_met,
--          crumb_passes_counted, materials, routes, run
-- units:   amount in unit, of the sheet; other_amount in other_unit, of positions; from_at, to_at
--          of the sheet, other_from_at, other_to_at of positions
-- empty:   amounts of a difference in names or time, names of one in amounts, instants of both
-- formula: own rule: another route, crew or material; lane-miles or pounds that differ by more than
--          reconcile_tolerance, and pounds where nothing went out though the truck's positions tell
--          spreading; time: both count though they share a minute, since they share less than half
--          of the shorter one's time, or the pass is another sheet's. Where the two are one pass
--          the positions' measures count
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
            sheets.lane_miles,
                nullif(abs(sheets.to_mi - sheets.from_mi), 0) * coalesce(sheets.lanes,
                    routes.lanes_per_pass)
        ) as sheet_lane_miles,
        measured.lane_ulane_mi / 1e6 as crumb_lane_miles,
        sheets.dispensed_lb as sheet_lb,
        measured.dispensed_lb as crumb_lb
    from pass_sheets as sheets
    cross join run
    inner join pass_sheets_tracked as measured on measured.pass_key = sheets.pass_key
    inner join routes on routes.route_id = sheets.route_id
),

beside as (
    select
        sheets.pass_key,
        sheets.truck_id,
        sheets.began_at,
        if(of_others.crumb_key is not null, 'sheet_time_of_another', 'sheet_time') as finding_code,
        sheets.began_at as from_at,
        sheets.ended_at as to_at,
        crumbs.began_at as other_from_at,
        crumbs.ended_at as other_to_at,
        crumbs.route_id as name
    from pass_sheets_beside as near
    inner join crumb_passes_counted as crumbs on crumbs.pass_key = near.crumb_key
    inner join pass_sheets as sheets on sheets.pass_key = near.pass_key
    left join materials on materials.material_id = sheets.material_id
    left join pass_sheets_tracked as measured on measured.pass_key = near.pass_key
    left join (select distinct crumb_key from pass_sheets_met)
        as of_others on of_others.crumb_key = near.crumb_key
    where near.together_us >= least(60000000, near.sheet_us)
        and (not crumbs.is_treating
            or crumbs.material_id is not null or of_others.crumb_key is not null)
        and case
            when of_others.crumb_key is null then near.is_same_route or measured.pass_key is null
            else measured.pass_key is null and crumbs.is_treating and materials.form = 'solid'
        end
),

differing as (
    select * from beside
    union all by name
    select pass_key, truck_id, began_at, 'sheet_crew' as finding_code, crew_id as name,
        crew_ids as other_name
    from compared
    where crew_ids <> crew_id
    union all by name
    select pass_key, truck_id, began_at, 'sheet_nothing_out' as finding_code, sheet_lb as amount,
        'pound' as unit
    from compared
    where not is_treating and sheet_lb > 0
        and truck_id in (select truck_id from crumb_passes_counted where is_treating)
    union all by name
    select pass_key, truck_id, began_at, 'sheet_route' as finding_code, route_id as name,
        route_ids as other_name
    from compared
    where not is_same_route
    union all by name
    select pass_key, truck_id, began_at, 'sheet_material' as finding_code,
        coalesce(material_id, 'no material') as name, crumb_material_id as other_name
    from compared
    where crumb_material_id is distinct from material_id and crumb_material_id is not null
    union all by name
    select
        pass_key, truck_id, began_at, 'sheet_lane_miles' as finding_code,
        sheet_lane_miles as amount, 'lane-mile' as unit, crumb_lane_miles as other_amount,
            'lane-mile' as other_unit
    from compared
    where abs(crumb_lane_miles - sheet_lane_miles) > reconcile_tolerance * sheet_lane_miles
        and crumb_lane_miles > 0
    union all by name
    select
        pass_key, truck_id, began_at, 'sheet_pounds' as finding_code,
        sheet_lb as amount, 'pound' as unit, crumb_lb as other_amount, 'pound' as other_unit
    from compared
    where abs(crumb_lb - sheet_lb) > reconcile_tolerance * sheet_lb
)

select *
from differing
order by pass_key, finding_code, other_from_at, name;
