-- pass_sheets: the passes in force as pass sheets tell them: of each key the row that was accepted,
--          or its latest correction.
-- grain:   one row per pass_key
-- reads:   rows_told
-- units:   from_mi mile; to_mi mile; lanes lane; lane_miles lane-mile; rate_set_lb_per_lane_mi
--          pound per lane-mile; dispensed_lb pound; dispensed_gal US gallon; prewet_gal US gallon;
--          gate_in inch; speed_mph mile per hour
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null
-- formula: contracts, "Order decides, not arrival"
create or replace view pass_sheets as
select
    row_key as pass_key,
    pass_id, truck_id, crew_id, route_id, began_at, ended_at, from_mi, to_mi, lanes, lane_miles,
    material_id, rate_set_lb_per_lane_mi, dispensed_lb, dispensed_gal, prewet_gal,
    prewet_material_id, plow_down, purpose, gate_in, spinner_setting, speed_mph, note, file,
    file_no, line
from rows_told
where feed = 'passes' and is_in_force;
