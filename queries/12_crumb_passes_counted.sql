-- crumb_passes_counted: the passes made of vehicle positions that count.
-- grain:   one row per pass_key
-- reads:   crumb_passes, files_in_force, routes, assignments, run
-- units:   from_mi, to_mi mile, in the direction of travel; lanes lane; lane_ulane_mi millionth of
--          a lane-mile; dispensed_lb pound; points position; shares of 1
-- empty:   lanes where no position gave them; reported_crew_id where none gave it, crew_id where
--          none is assigned either; dispensed_lb where no position told pounds
-- formula: a weak pass does not count; pass_key is crumb:truck@time of the pass's first position;
--          the crew is the reported one, else the one assigned to the route on that date; file and
--          line are the first position's
create or replace table crumb_passes_counted as
with counted as (
    select
        crumb_passes.*,
        'crumb:' || crumb_passes.truck_id || '@'
            || replace(strftime(make_timestamp(epoch_us(first_at)), '%Y-%m-%dT%H:%M:%S.%gZ'),
            '.000Z', 'Z')
            || case when first_no > 1 then '#' || first_no else '' end as pass_key,
        files_in_force.file,
        files_in_force.file_no,
        cast(timezone((select time_zone from run), began_at) as date) as local_date
    from crumb_passes
    inner join files_in_force
        on files_in_force.feed = 'breadcrumbs' and files_in_force.sha256 = crumb_passes.sha256
    where weak_code is null
)

select
    counted.pass_key,
    counted.truck_id,
    coalesce(counted.crew_id, assignments.crew_id) as crew_id,
    counted.crew_id as reported_crew_id,
    counted.route_id,
    counted.began_at,
    counted.ended_at,
    counted.from_mi,
    counted.to_mi,
    counted.lanes,
    cast(abs(counted.to_mi - counted.from_mi) * coalesce(counted.lanes, routes.lanes_per_pass)
        * 1e6 as bigint) as lane_ulane_mi,
    counted.is_treating,
    counted.material_id,
    counted.plow_down,
    counted.dispensed_ulb / 1e6 as dispensed_lb,
    counted.points,
    counted.matched_share,
    counted.confidence,
    counted.file,
    counted.file_no,
    counted.line
from counted
inner join routes using (route_id)
left join assignments
    on assignments.route_id = counted.route_id and counted.local_date
        between assignments.from_date and coalesce(assignments.to_date, date '9999-12-31');
