-- passes: the passes in force, from pass sheets and from vehicle positions; where both describe one
--          it counts once.
-- grain:   one row per pass_key
-- reads:   pass_sheets, pass_sheets_tracked, pass_sheets_met, crumb_passes_counted
-- units:   from_mi mile; to_mi mile; lanes lane; lane_miles lane-mile; rate_set_lb_per_lane_mi
--          pound per lane-mile; dispensed_lb pound; dispensed_gal US gallon; prewet_gal US gallon;
--          gate_in inch; speed_mph mile per hour
-- empty:   an empty cell is null; points, matched_share and confidence of a pass that no position
--          tells; a pass of positions has no pass_id, purpose,
--          rate_set_lb_per_lane_mi, gallons, gate_in, spinner_setting, speed_mph, note
-- formula: own rule: a pass on a sheet and in positions has the sheet's pass_id, crew, route,
--          material and purpose, and the positions' times, miles, lane-miles and pounds; the
--          sheet's stand where the positions tell none, and a sheet without a material takes
--          theirs. Passes of positions that no sheet describes count as they are, but for those
--          that spread without naming a material: they are in weak_passes. Differences between the
--          two are in sheet_differences. file and line are the sheet's, else the first position's.
--          pass_no, by which later steps join, is one of each pass too: the number of the file
--          tonight times 2^32, plus the line
create or replace table passes as
with measured_sheets as (
    select
        sheets.* exclude (file, file_no, line) replace (
            coalesce(measured.began_at, sheets.began_at) as began_at,
            coalesce(measured.ended_at, sheets.ended_at) as ended_at,
            coalesce(measured.from_mi, sheets.from_mi) as from_mi,
            coalesce(measured.to_mi, sheets.to_mi) as to_mi,
            coalesce(nullif(measured.lane_ulane_mi, 0) / 1e6, sheets.lane_miles) as lane_miles,
            coalesce(sheets.material_id, measured.material_id) as material_id,
            coalesce(measured.dispensed_lb, sheets.dispensed_lb) as dispensed_lb,
            coalesce(sheets.plow_down or measured.plow_down, sheets.plow_down) as plow_down
        ),
        measured.points,
        measured.matched_share,
        measured.confidence,
        'passes' as feed,
        sheets.file,
        sheets.line,
        sheets.file_no
    from pass_sheets as sheets
    left join pass_sheets_tracked as measured using (pass_key)
),

crumbs as (
    select
        crumb_passes_counted.* exclude (
            lane_ulane_mi, reported_crew_id, is_treating, material_id, dispensed_lb),
        case when is_treating then material_id end as material_id,
        case when is_treating then dispensed_lb end as dispensed_lb,
        'breadcrumbs' as feed
    from crumb_passes_counted
    anti join pass_sheets_met on pass_sheets_met.crumb_key = crumb_passes_counted.pass_key
    where not is_treating or material_id is not null
),

told as (
    select *
    from measured_sheets
    union all by name
    select *
    from crumbs
)

select * exclude (file_no), file_no * 4294967296 + line as pass_no
from told;
