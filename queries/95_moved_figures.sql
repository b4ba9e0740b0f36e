-- moved_figures: figures of past storms that are not what the live release says, and storms that
--          appeared or vanished.
-- grain:   one row per export, storm_id, zone_id, route_id, material_class, form, column
-- reads:   last_night, last_storms, last_storm_routes, storms, storm_routes
-- units:   before, after text of the value, in the unit of the column; for column storm the storm's
--          begin; from_at, until_at the storm's time on both sides and 48 h more, in which weather
--          can have moved it
-- empty:   route_id, material_class or form where the export has none; before or after where the
--          figure, its row or its storm was or is missing; no rows while nothing is published; a
--          storm that appeared or vanished has the one row of column storm
-- formula: own rule: figures of the two exports joined on their keys
create or replace table moved_figures as
with storm_sides as (
    select false as is_now, storm_id, zone_id, began_at as storm, began_at, ended_at, hours, kind,
        precip_in, surface_f_min, severity from last_storms
    union all by name
    select true as is_now, storm_id, zone_id, began_at as storm, began_at, ended_at, hours, kind,
        precip_in, surface_f_min, severity from storms
),
storm_spans as (
    select storm_id, zone_id, min(began_at) as from_at,
        max(ended_at) + interval 48 hours as until_at, count(*) = 2 as is_kept
    from storm_sides
    group by storm_id, zone_id
),
storm_texts as (
    select is_now, storm_id, zone_id,
        cast(columns(* exclude (is_now, storm_id, zone_id)) as varchar)
    from storm_sides
),
storm_figures as (
    select * from storm_texts
    unpivot include nulls (figure for "column"
        in (storm, began_at, ended_at, hours, kind, precip_in, surface_f_min, severity))
),
route_sides as (
    select false as is_now, * from last_storm_routes
    union all by name
    select true as is_now, storm_id, zone_id, route_id, material_class, form, treated_lane_miles,
        applied_lb, prewet_lb, rate_lb_per_lane_mi, storm_lb_per_lane_mi,
        applications, rounds, treating_passes, plow_passes, first_application_at, regain_h,
            regain_state, chloride_lb, cost_usd
    from storm_routes
),
route_texts as (
    select is_now, storm_id, zone_id, route_id, material_class, form,
        cast(columns(* exclude (is_now, storm_id, zone_id, route_id, material_class, form))
        as varchar)
    from route_sides
),
route_figures as (
    select * from route_texts
    unpivot include nulls (figure for "column"
        in (treated_lane_miles, applied_lb, prewet_lb, rate_lb_per_lane_mi, storm_lb_per_lane_mi,
        applications, rounds,
        treating_passes, plow_passes, first_application_at, regain_h, regain_state, chloride_lb,
            cost_usd))
),
figures as (
    select 'storms' as export, null as route_id, null as material_class, null as form, *
        from storm_figures
    union all by name
    select 'storm_routes' as export, * from route_figures
),
compared as (
    select
        figures.export, figures.storm_id, figures.zone_id, figures.route_id, figures.material_class,
            figures.form, figures."column",
        max(figures.figure) filter (where not figures.is_now) as before,
        max(figures.figure) filter (where figures.is_now) as after,
        any_value(storm_spans.is_kept) as is_kept,
        any_value(storm_spans.from_at) as from_at,
        any_value(storm_spans.until_at) as until_at
    from figures
    inner join storm_spans using (storm_id, zone_id)
    group by figures.export, figures.storm_id, figures.zone_id, figures.route_id,
        figures.material_class, figures.form, figures."column"
)
select compared.* exclude (is_kept)
from compared
cross join last_night
where last_night.release is not null
    and compared.before is distinct from compared.after
    and (compared."column" <> 'storm') = compared.is_kept;
