-- pass_sheets_tracked: what vehicle positions measured of the passes on pass sheets.
-- grain:   one row per pass_key
-- reads:   pass_sheets, pass_sheets_met, crumb_passes_counted, materials
-- units:   from_mi, to_mi mile; lane_ulane_mi millionth of a lane-mile; dispensed_lb pound; points
--          position; matched_share, confidence share of 1, means over the positions
-- empty:   a sheet that no positions meet has no row; crew_ids where none was reported; from_mi,
--          to_mi where all are on another route; dispensed_lb unless all of the sheet's passes on
--          which something went out tell pounds, and of a liquid, whose gallons only the sheet has;
--          material_id where no position names one
-- formula: lane-miles, pounds and miles are those of the passes on which something went out, where
--          there are such, together; else of all. The miles reach from the lowest to the highest;
--          the times are those of all. Of a pass that several sheets share each has a part in
--          proportion to its time. material_id is the one with the most pounds; crew_ids are the
--          reported ones
create or replace table pass_sheets_tracked as
with parts as (
    select
        pass_sheets_met.pass_key,
        pass_sheets_met.is_same_route,
        crumbs.route_id,
        crumbs.reported_crew_id,
        crumbs.is_treating,
        crumbs.material_id,
        crumbs.plow_down,
        crumbs.points,
        cast(crumbs.matched_share * 1e6 as bigint) * crumbs.points as matched_upoints,
        cast(crumbs.confidence * 1e6 as bigint) * crumbs.points as sure_upoints,
        crumbs.began_at + to_microseconds(
            cast((epoch_us(crumbs.ended_at) - epoch_us(crumbs.began_at)) * share_begin as bigint))
            as began_at,
        crumbs.began_at + to_microseconds(
            cast((epoch_us(crumbs.ended_at) - epoch_us(crumbs.began_at)) * share_end as bigint))
            as ended_at,
        crumbs.from_mi * (1 - share_begin) + crumbs.to_mi * share_begin as from_mi,
        crumbs.from_mi * (1 - share_end) + crumbs.to_mi * share_end as to_mi,
        cast(crumbs.lane_ulane_mi * share_end as bigint)
            - cast(crumbs.lane_ulane_mi * share_begin as bigint) as lane_ulane_mi,
        cast(crumbs.dispensed_lb * 1e6 * share_end as bigint)
            - cast(crumbs.dispensed_lb * 1e6 * share_begin as bigint) as dispensed_ulb
    from pass_sheets_met
    inner join crumb_passes_counted as crumbs on crumbs.pass_key = pass_sheets_met.crumb_key
),

met as (
    select *, is_treating or not bool_or(is_treating) over (partition by pass_key) as is_measure
    from parts
)

select
    met.pass_key,
    min(met.began_at) as began_at,
    max(met.ended_at) as ended_at,
    min(least(met.from_mi, met.to_mi))
        filter (where met.is_same_route and met.is_measure) as from_mi,
    max(greatest(met.from_mi, met.to_mi))
        filter (where met.is_same_route and met.is_measure) as to_mi,
    cast(sum(met.lane_ulane_mi) filter (where met.is_measure) as bigint) as lane_ulane_mi,
    case
        when bool_or(met.is_treating) and coalesce(any_value(materials.form), '') <> 'liquid'
            and count(met.dispensed_ulb) filter (where met.is_treating) = count(*)
                filter (where met.is_treating)
            then sum(met.dispensed_ulb) filter (where met.is_treating) / 1e6
    end as dispensed_lb,
    arg_max(met.material_id, row(coalesce(met.dispensed_ulb, 0), met.material_id))
        filter (where met.is_treating and met.material_id is not null) as material_id,
    coalesce(bool_or(met.plow_down), false) as plow_down,
    cast(sum(met.points) as bigint) as points,
    sum(met.matched_upoints) / (sum(met.points) * 1e6) as matched_share,
    sum(met.sure_upoints) / (sum(met.points) * 1e6) as confidence,
    bool_or(met.is_treating) as is_treating,
    string_agg(distinct met.reported_crew_id, ', ' order by met.reported_crew_id) as crew_ids,
    bool_and(met.is_same_route) as is_same_route,
    string_agg(distinct met.route_id, ', ' order by met.route_id) as route_ids
from met
inner join pass_sheets as sheets on sheets.pass_key = met.pass_key
left join materials on materials.material_id = sheets.material_id
group by met.pass_key
order by met.pass_key;
