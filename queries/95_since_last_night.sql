-- since_last_night: past figures that moved since the live release, and the deliveries or tables behind it.
-- grain:   one row per export, storm_id, zone_id, route_id, material_class, form, column
-- reads:   last_night, last_storms, last_storm_routes, last_intake, storms, storm_routes, storm_passes, intake
-- units:   before, after the unit of the column
-- empty:   zone_id or route_id where the export has none; before or after where the figure or its row was or is missing;
--          no rows while nothing is published; a storm that is new tonight has no rows; at most 1000 rows, the latest storms first
-- formula: own rule: figures of the two exports joined on their keys
create or replace table since_last_night as
with storm_moves as (
    select 'storms' as export, coalesce(was.storm_id, now.storm_id) as storm_id, coalesce(was.zone_id, now.zone_id) as zone_id,
        null as route_id, null as material_class, null as form, 'hours' as "column", was.hours as before, now.hours as after
    from last_storms as was
    full join storms as now on now.storm_id = was.storm_id and now.zone_id = was.zone_id
    where coalesce(was.storm_id, now.storm_id) in (select storm_id from last_storms)
),
route_pairs as (
    select coalesce(was.storm_id, now.storm_id) as storm_id, coalesce(was.route_id, now.route_id) as route_id,
        coalesce(was.material_class, now.material_class) as material_class, coalesce(was.form, now.form) as form,
        [
            {'column': 'applied_lb', 'before': was.applied_lb, 'after': now.applied_lb},
            {'column': 'rate_lb_per_lane_mi', 'before': was.rate_lb_per_lane_mi, 'after': now.rate_lb_per_lane_mi},
            {'column': 'storm_lb_per_lane_mi', 'before': was.storm_lb_per_lane_mi, 'after': now.storm_lb_per_lane_mi},
            {'column': 'applications', 'before': was.applications, 'after': now.applications}
        ] as figures
    from last_storm_routes as was
    full join storm_routes as now
        on now.storm_id = was.storm_id and now.route_id = was.route_id
        and now.material_class is not distinct from was.material_class and now.form is not distinct from was.form
    where coalesce(was.storm_id, now.storm_id) in (select storm_id from last_storms)
),
route_figures as (
    select storm_id, route_id, material_class, form, unnest(figures, recursive := true)
    from route_pairs
),
moved as (
    select * from storm_moves where before is distinct from after
    union all by name
    select 'storm_routes' as export, null as zone_id, * from route_figures where before is distinct from after
),
new_files as (
    select intake.feed, intake.file
    from intake
    left join last_intake on last_intake.feed = intake.feed and last_intake.sha256 = intake.sha256
    where last_intake.file is null and intake.rows_read > 0
),
pass_causes as (
    select storm_passes.storm_id, storm_passes.route_id, string_agg(distinct new_files.feed || '/' || new_files.file, '; ' order by new_files.feed || '/' || new_files.file) as files
    from storm_passes
    inner join new_files on new_files.feed = storm_passes.pass_feed and new_files.file = storm_passes.pass_file
    group by storm_passes.storm_id, storm_passes.route_id
),
other_causes as (
    select string_agg(feed || '/' || file, '; ' order by feed, file) filter (where feed = 'weather') as weather
    from new_files
)
select
    moved.export, moved.storm_id, moved.zone_id, moved.route_id, moved.material_class, moved.form, moved."column", moved.before, moved.after,
    left(coalesce(pass_causes.files, last_night.changed_reference, other_causes.weather, 'a changed setting or a replaced delivery'), 400) as cause
from moved
cross join last_night
cross join other_causes
left join pass_causes on pass_causes.storm_id = moved.storm_id and pass_causes.route_id = moved.route_id
where last_night.release is not null
order by moved.storm_id desc, moved.export, moved.zone_id, moved.route_id, moved.material_class, moved.form, moved."column"
limit 1000;
