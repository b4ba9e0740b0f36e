-- crew_parts: what each crew put down on each route in each storm, in exact sums, and the sums that
--          its row of storm_routes enters: what is withheld of crews too small for figures is
--          chosen from these.
-- grain:   one row per storm_id, route_id, material_class, form, crew_id
-- reads:   storm_passes, price_spans, storms, crews, storm_routes_corrected, comparison_routes,
--          comparison_zones
-- units:   _ulb millionth of a pound; _ulane_mi millionth of a lane-mile
-- empty:   no row without a treating pass; weeks of liquids, which no week's account holds
-- formula: is_protected: fewer than 3 members, or none given; members are a whole number, or names
--          with ; between. Rows of one storm, weeks and sums stand in the same published sums:
--          sums names class, form, materials with their prices, and whether the storm is open, the
--          comparison counts the row, and every pound of it was weighed
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
named as (
    select
        rowed.*,
        concat_ws('|', rowed.material_class, rowed.form,
            array_to_string(rowed.materials, ';'),
            open_storms.is_open,
            coalesce(comparison_zones.is_compared and comparison_routes.left_out is null
                and comparison_routes.route_class = rowed.material_class
                and rowed.form = 'solid', false),
            storm_routes_corrected.corrected_placed_ulb is not null) as sums
    from rowed
    inner join open_storms on open_storms.storm_id = rowed.storm_id
    left join comparison_routes
        on comparison_routes.storm_id = rowed.storm_id
        and comparison_routes.route_id = rowed.route_id
    left join comparison_zones
        on comparison_zones.storm_id = rowed.storm_id
        and comparison_zones.zone_id = rowed.zone_id
    left join storm_routes_corrected
        on storm_routes_corrected.storm_id = rowed.storm_id
        and storm_routes_corrected.route_id = rowed.route_id
        and storm_routes_corrected.material_class = rowed.material_class
        and storm_routes_corrected.form = rowed.form
),
crewed as (
    select
        storm_id,
        route_id,
        material_class,
        form,
        crew_id,
        coalesce(sum(lane_ulane_mi), 0) as treated_ulane_mi,
        coalesce(sum(lane_ulane_mi) filter (where is_measured), 0) as measured_ulane_mi,
        coalesce(sum(applied_ulb), 0) as applied_ulb
    from storm_passes
    where storm_id is not null and is_treating
    group by storm_id, route_id, material_class, form, crew_id
)
select
    named.season,
    named.storm_id,
    named.zone_id,
    named.route_id,
    named.material_class,
    named.form,
    coalesce(array_to_string(named.weeks, ';'), '') as weeks,
    named.sums,
    crewed.crew_id,
    coalesce(protected.is_protected, true) as is_protected,
    cast(crewed.treated_ulane_mi as bigint) as treated_ulane_mi,
    cast(crewed.measured_ulane_mi as bigint) as measured_ulane_mi,
    cast(crewed.applied_ulb as bigint) as applied_ulb
from crewed
inner join named
    on named.storm_id = crewed.storm_id and named.route_id = crewed.route_id
    and named.material_class = crewed.material_class and named.form = crewed.form
left join protected on protected.crew_id = crewed.crew_id
order by storm_id, route_id, material_class, form, crew_id;
