-- learning_rows_corrected: the rows of the learning curve with rates by the pounds that were
--          weighed.
-- grain:   one row per storm_id, crew_id, route_id
-- reads:   learning_rows, storm_passes, pass_corrections, run
-- units:   those of learning_rows; rate_lb_per_lane_mi pound weighed per lane-mile
-- empty:   a row any of whose measured passes has no corrected pounds, or whose corrected rate is
--          0, is left out
-- formula: definitions, "Learning", curve, with corrected pounds for reported ones
create or replace table learning_rows_corrected as
with corrected as (
    select
        storm_passes.storm_id,
        storm_passes.crew_id,
        storm_passes.route_id,
        count(*) filter (where pass_corrections.corrected_ulb is null) as uncorrected_passes,
        coalesce(sum(pass_corrections.corrected_ulb) filter (where storm_passes.is_placed), 0)
            / nullif(sum(storm_passes.lane_ulane_mi), 0) as rate_lb_per_lane_mi
    from storm_passes
    cross join run
    inner join pass_corrections using (pass_no)
    where storm_passes.storm_id is not null and storm_passes.is_measured
        and storm_passes.material_class = run.compare and storm_passes.form = 'solid'
    group by storm_passes.storm_id, storm_passes.crew_id, storm_passes.route_id
)
select learning_rows.* replace (corrected.rate_lb_per_lane_mi as rate_lb_per_lane_mi)
from learning_rows
inner join corrected using (storm_id, crew_id, route_id)
where corrected.uncorrected_passes = 0 and corrected.rate_lb_per_lane_mi > 0
order by storm_id, crew_id, route_id;
