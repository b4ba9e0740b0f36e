-- placed_passes: every pass with the zone of its route, the kind of its material, and its
--          lane-miles.
-- grain:   one row per pass_no
-- reads:   passes, routes, materials
-- units:   lane_miles lane-mile; route_umi, route_ulane_mi millionths, of the whole route; others
--          as in passes and materials
-- empty:   lane_miles unless placed; class, form and what else is of the material without one
-- formula: definitions, "Pounds and lane-miles of a pass"; is_unlocated: lane-miles are given, and
--          no miles
create or replace view placed_passes as
select
    passes.* replace (
        coalesce(passes.lanes, routes.lanes_per_pass) as lanes,
        case
            when passes.lane_miles is not null then passes.lane_miles
            when passes.from_mi <> passes.to_mi then
                abs(passes.to_mi - passes.from_mi) * coalesce(passes.lanes, routes.lanes_per_pass)
            when passes.from_mi is null and passes.to_mi is null then
                coalesce(nullif(abs(routes.to_mi - routes.from_mi), 0),
                    routes.lane_miles / nullif(routes.lanes, 0))
                * coalesce(passes.lanes, routes.lanes_per_pass)
        end as lane_miles
    ),
    passes.from_mi is null and passes.lane_miles is not null as is_unlocated,
    routes.zone_id,
    cast(abs(routes.to_mi - routes.from_mi) * 1e6 as bigint) as route_umi,
    cast(routes.lane_miles * 1e6 as bigint) as route_ulane_mi,
    materials.class,
    materials.form,
    materials.dry_lb_per_gal,
    materials.chloride_fraction,
    materials.lowest_working_f,
    passes.material_id is not null and coalesce(
        case when materials.form = 'liquid' then passes.dispensed_gal else passes.dispensed_lb end,
            1
    ) <> 0 as is_treating
from passes
inner join routes using (route_id)
left join materials using (material_id);
