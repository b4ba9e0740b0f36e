-- crew_parts: what each crew put down on each route in each storm, in exact sums, and the sums that
--          its row of storm_routes enters: what is withheld of crews too small for figures is
--          chosen from these.
-- grain:   one row per storm_id, route_id, material_class, form, crew_id
-- reads:   storm_passes, price_spans, storms, crews, judged_passes, pass_corrections,
--          storm_routes_corrected, comparison_routes, comparison_zones
-- units:   _ulb millionth of a pound; _ulane_mi millionth of a lane-mile
-- empty:   no row without a treating pass; weeks of liquids, which no week's account holds
-- formula: is_protected: fewer than 3 members, or none given; members are a whole number, or names
--          with ; between. Rows of one storm, weeks and sums stand in the same published sums:
--          sums names class, form, materials with their prices, and whether the storm is open, the
--          season's comparison counts the row, and every pound of it was weighed; is_counted: the
--          storm's comparison does
create or replace table crew_parts as
with protected as (
    select
        crew_id,
        coalesce(
            case when regexp_full_match(trim(members), '[+-]?[0-9]+')
                then try_cast(trim(members) as bigint) end,
            len(list_filter(string_split(members, ';'), lambda name: trim(name) <> '')),
            0
        ) < 3 as is_protected
    from crews
),
rowed as (
    select
        storm_passes.storm_id,
        storm_passes.route_id,
        storm_passes.material_class,
        storm_passes.form,
        any_value(storm_passes.season) as season,
        any_value(storm_passes.zone_id) as zone_id,
        list_sort(list(distinct concat_ws(' ', storm_passes.material_id,
            price_spans.usd_per_ton))) as materials,
        case when storm_passes.form = 'solid' then list_sort(list(distinct
            strftime(date_trunc('week', storm_passes.local_date), '%Y-%m-%d'))) end as weeks
    from storm_passes
    left join price_spans
        on price_spans.material_id = storm_passes.material_id
        and price_spans.from_date <= storm_passes.local_date
        and storm_passes.local_date < price_spans.next_date
    where storm_passes.storm_id is not null and storm_passes.is_treating
    group by storm_passes.storm_id, storm_passes.route_id, storm_passes.material_class,
        storm_passes.form
),
open_storms as (
    select storm_id, bool_or(is_open) as is_open
    from storms
    group by storm_id
),
crewed as (
    select
        storm_passes.storm_id,
        storm_passes.route_id,
        storm_passes.material_class,
        storm_passes.form,
        storm_passes.crew_id,
        coalesce(sum(lane_ulane_mi), 0) as treated_ulane_mi,
        coalesce(sum(lane_ulane_mi) filter (where is_measured), 0) as measured_ulane_mi,
        coalesce(sum(applied_ulb), 0) as applied_ulb,
        coalesce(sum(coalesce(judged_passes.judged_ulb, applied_ulb)), 0) as judged_ulb,
        coalesce(sum(coalesce(pass_corrections.corrected_ulb, applied_ulb)), 0) as weighed_ulb
    from storm_passes
    left join judged_passes on judged_passes.pass_key = storm_passes.pass_key
    left join pass_corrections on pass_corrections.pass_no = storm_passes.pass_no
    where storm_passes.storm_id is not null and is_treating
    group by storm_passes.storm_id, storm_passes.route_id, storm_passes.material_class,
        storm_passes.form, storm_passes.crew_id
),
counted as (
    select comparison_routes.storm_id, comparison_routes.route_id,
        comparison_routes.route_class as material_class, 'solid' as form,
        comparison_zones.is_compared
    from comparison_routes
    inner join comparison_zones using (storm_id, zone_id)
    where comparison_routes.left_out is null
)
select
    rowed.season,
    storm_id,
    rowed.zone_id,
    route_id,
    material_class,
    form,
    coalesce(array_to_string(rowed.weeks, ';'), '') as weeks,
    concat_ws('|', material_class, form, array_to_string(rowed.materials, ';'),
        open_storms.is_open, coalesce(counted.is_compared, false),
        storm_routes_corrected.corrected_placed_ulb is not null) as sums,
    counted.is_compared is not null as is_counted,
    coalesce(counted.is_compared, false) as is_compared,
    storm_routes_corrected.corrected_lb is not null as is_weighed,
    crew_id,
    coalesce(protected.is_protected, true) as is_protected,
    cast(crewed.treated_ulane_mi as bigint) as treated_ulane_mi,
    cast(crewed.measured_ulane_mi as bigint) as measured_ulane_mi,
    cast(crewed.applied_ulb as bigint) as applied_ulb,
    cast(crewed.judged_ulb as bigint) as judged_ulb,
    cast(crewed.weighed_ulb as bigint) as weighed_ulb
from crewed
inner join rowed using (storm_id, route_id, material_class, form)
inner join open_storms using (storm_id)
left join counted using (storm_id, route_id, material_class, form)
left join storm_routes_corrected using (storm_id, route_id, material_class, form)
left join protected using (crew_id)
order by storm_id, route_id, material_class, form, crew_id;
