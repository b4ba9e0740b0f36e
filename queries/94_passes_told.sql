-- passes_told: the export passes: every pass in force, and how it was told.
-- grain:   one row per pass_key
-- reads:   storm_passes, passes
-- units:   from_mi, to_mi mile; lane_miles lane-mile; applied_lb pound; points position;
--          matched_share, confidence share of 1
-- empty:   pass_id of a pass that positions alone tell, or a sheet without one; storm_id outside
--          storms; miles, lane_miles, applied_lb where unknown; points, matched_share, confidence
--          of a pass that no position tells
-- formula: definitions, "From pass to storm" and "Pounds and lane-miles of a pass"
create or replace table passes_told as
select
    passes.pass_key, passes.pass_id, passes.truck_id, passes.crew_id, passes.route_id,
    storm_passes.storm_id, passes.began_at, passes.ended_at, passes.from_mi, passes.to_mi,
    storm_passes.lane_ulane_mi / 1e6 as lane_miles,
    passes.material_id,
    storm_passes.applied_ulb / 1e6 as applied_lb,
    passes.plow_down,
    case
        when passes.points is null then 'sheet'
        when passes.feed = 'passes' then 'both'
        else 'positions'
    end as source,
    passes.points, passes.matched_share, passes.confidence
from storm_passes
inner join passes on passes.pass_no = storm_passes.pass_no
order by passes.truck_id, passes.began_at, passes.pass_key;
