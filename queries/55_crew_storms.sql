-- crew_storms: what each crew put down on each route in each storm, and its experience before it.
-- grain:   one row per storm_id, crew_id, route_id, material_class, form
-- reads:   storm_passes, pass_corrections, reconciliation, storms, crews, treatments, run
-- units:   lane_miles lane-mile; applied_lb pound; rate_lb_per_lane_mi pound per lane-mile;
--          prior_storms a number
-- empty:   plow-only passes have no row; prior_storms unless of the compared class; learning_use
--          unless that and solid; applied_lb where no pass is measured; the rate where it has no
--          denominator
-- formula: definitions, "Experience"; the week of a pass is that of reconciliation
create or replace table crew_storms as
with set_wrong as (
    select distinct week, truck_id
    from reconciliation
    where starts_with(finding, 'set for ')
),
sums as (
    select
        storm_passes.storm_id,
        storm_passes.crew_id,
        storm_passes.route_id,
        storm_passes.material_class,
        storm_passes.form,
        any_value(storm_passes.season) as season,
        any_value(storm_passes.zone_id) as zone_id,
        coalesce(sum(storm_passes.lane_ulane_mi), 0) as treated_ulane_mi,
        coalesce(sum(storm_passes.lane_ulane_mi) filter (where storm_passes.is_measured), 0)
            as measured_ulane_mi,
        sum(storm_passes.applied_ulb) as applied_ulb,
        coalesce(sum(storm_passes.applied_ulb) filter (where not storm_passes.is_placed), 0)
            as unplaced_ulb,
        bool_or(set_wrong.truck_id is not null) as has_wrong_setting
    from storm_passes
    left join pass_corrections using (pass_no)
    left join set_wrong on set_wrong.truck_id = storm_passes.truck_id
        and set_wrong.week = pass_corrections.week
    where storm_passes.storm_id is not null and storm_passes.is_treating
    group by
        storm_passes.storm_id, storm_passes.crew_id, storm_passes.route_id,
            storm_passes.material_class, storm_passes.form
),
counted as (
    select
        sums.crew_id,
        sums.storm_id,
        rank() over (partition by sums.crew_id order by min(storms.run_began_at)) - 1
            as earlier_storms
    from sums
    inner join storms using (storm_id)
    cross join run
    where sums.material_class = run.compare
    group by sums.crew_id, sums.storm_id
),
rated as (
    select
        sums.*,
        (sums.applied_ulb - sums.unplaced_ulb)
            / nullif(sums.measured_ulane_mi, 0) as rate_lb_per_lane_mi,
        counted.earlier_storms + cast(crews.prior_acetate_storms as bigint) as prior_storms,
        storms.is_open,
        treatments.applied_ulb as route_applied_ulb
    from sums
    inner join storms using (storm_id, zone_id)
    inner join crews using (crew_id)
    left join counted using (crew_id, storm_id)
    inner join treatments using (storm_id, route_id, material_class, form)
)
select
    rated.season,
    rated.storm_id,
    rated.crew_id,
    rated.route_id,
    rated.material_class,
    rated.form,
    case when rated.material_class = run.compare then rated.prior_storms end as prior_storms,
    rated.treated_ulane_mi / 1e6 as treated_lane_miles,
    rated.measured_ulane_mi / 1e6 as measured_lane_miles,
    rated.applied_ulb / 1e6 as applied_lb,
    rated.rate_lb_per_lane_mi,
    case
        when rated.material_class <> run.compare or rated.form <> 'solid' then null
        when coalesce(rated.rate_lb_per_lane_mi, 0) = 0 then 'no pounds'
        when rated.is_open then 'open storm'
        when rated.measured_ulane_mi < run.learning_min_lane_mi * 1000000 then 'too small'
        when 4 * rated.applied_ulb < rated.route_applied_ulb then 'shared route'
        when rated.has_wrong_setting then 'wrong setting'
        else 'used'
    end as learning_use
from rated
cross join run
order by storm_id, crew_id, route_id, material_class, form;
