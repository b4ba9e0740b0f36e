-- judged_treatments: the solids of a compared class on a route in a storm, by the pounds that
--          verdicts rest on.
-- grain:   one row per storm_id, route_id, material_class
-- reads:   treatments, judged_passes, run
-- units:   those of treatments
-- empty:   those of treatments
-- formula: treatments with applied_ulb and unplaced_ulb summed from judged_passes
create or replace table judged_treatments as
with judged as (
    select
        storm_id,
        route_id,
        material_class,
        sum(judged_ulb) as applied_ulb,
        coalesce(sum(judged_ulb) filter (where not is_placed), 0) as unplaced_ulb
    from judged_passes
    group by storm_id, route_id, material_class
)
select treatments.* replace (
    case when treatments.applied_ulb is not null
        then coalesce(judged.applied_ulb, 0) end as applied_ulb,
    case when treatments.unplaced_ulb is not null
        then coalesce(judged.unplaced_ulb, 0) end as unplaced_ulb
)
from treatments
cross join run
left join judged using (storm_id, route_id, material_class)
where treatments.form = 'solid' and treatments.material_class in (run.compare, run.beside)
order by storm_id, route_id, material_class;
