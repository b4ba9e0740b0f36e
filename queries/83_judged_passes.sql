-- judged_passes: the pounds by which each treating pass of a compared class's solids is judged.
-- grain:   one row per pass_key
-- reads:   storm_passes, pass_corrections, season_pounds, reconciliation
-- units:   judged_ulb millionth of a pound
-- empty:   passes outside storms have no row; judged_ulb of a pass that is not measured
-- formula: definitions, "Settings are no counters": pounds corrected by weighed loads where the
--          season asks for them and has them of the pass; else as told, scaled by the week's
--          running ratio where the truck was found set for another material
create or replace table judged_passes as
select
    storm_passes.pass_key,
    storm_passes.storm_id,
    storm_passes.route_id,
    storm_passes.crew_id,
    storm_passes.material_class,
    storm_passes.is_placed,
    case when storm_passes.is_measured then storm_passes.lane_ulane_mi end as measured_ulane_mi,
    case
        when season_pounds.is_corrected and pass_corrections.corrected_ulb is not null
            then pass_corrections.corrected_ulb
        when starts_with(reconciliation.finding, 'set for ')
            then cast(storm_passes.applied_ulb * reconciliation.running_ratio as bigint)
        else storm_passes.applied_ulb
    end as judged_ulb
from storm_passes
inner join season_pounds using (season, material_class)
left join pass_corrections using (pass_no)
left join reconciliation on reconciliation.week = pass_corrections.week
    and reconciliation.truck_id = storm_passes.truck_id
    and reconciliation.material_id = storm_passes.material_id
where storm_passes.storm_id is not null and storm_passes.is_treating
    and storm_passes.form = 'solid'
order by pass_key;
