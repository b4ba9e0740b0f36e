-- outside_storms: what each route got outside storms.
-- grain:   one row per season, route_id, material_class, form
-- reads:   storm_passes
-- units:   treated_lane_miles lane-mile; applied_lb pound; passes a number
-- empty:   a route without a pass outside storms has no row; material_class and form on the one row
--          of a route that had no treating pass; applied_lb where no pass is measured
-- formula: definitions, "From pass to storm": storms + outside = all passes; season by the local
--          date of the pass
create or replace table outside_storms as
with visits as (
    select
        season,
        route_id,
        count(*) filter (where is_treating) as treating_passes,
        count(*) filter (where not is_treating or plow_down) as plow_passes
    from storm_passes
    where storm_id is null
    group by season, route_id
),
rows_wanted as (
    select
        season,
        route_id,
        material_class,
        form,
        count(*) as treating_passes,
        count(*) filter (where not is_measured) as unmeasured_passes,
        coalesce(sum(lane_ulane_mi), 0) as treated_ulane_mi,
        sum(applied_ulb) as applied_ulb
    from storm_passes
    where storm_id is null and is_treating
    group by season, route_id, material_class, form
    union all by name
    select
        season,
        route_id,
        0 as treating_passes,
        0 as unmeasured_passes,
        0 as treated_ulane_mi,
        0 as applied_ulb
    from visits
    where treating_passes = 0
)
select
    rows_wanted.season,
    rows_wanted.route_id,
    rows_wanted.material_class,
    rows_wanted.form,
    rows_wanted.treating_passes,
    rows_wanted.unmeasured_passes,
    visits.plow_passes,
    rows_wanted.treated_ulane_mi / 1e6 as treated_lane_miles,
    rows_wanted.applied_ulb / 1e6 as applied_lb
from rows_wanted
inner join visits using (season, route_id)
order by season, route_id, material_class nulls first, form nulls first;
