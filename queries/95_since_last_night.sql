-- since_last_night: past storms that moved, appeared or vanished since the live release, from what
--          to what, and the deliveries or tables behind it.
-- grain:   one row per export, storm_id, zone_id, route_id, material_class, form, column
-- reads:   moved_figures, last_night, last_intake, passes, storm_passes, observations, stations,
--          conditions, intake
-- units:   before, after text of the value, in the unit of the column; for column storm the storm's
--          begin
-- empty:   route_id, material_class or form where the export has none; before or after where the
--          figure, its row or its storm was or is missing; no rows while nothing is published; a
--          storm that appeared or vanished has the one row of column storm; at most 1000 rows, the
--          latest storms first
-- formula: own rule: a weather file counts from a storm's begin until 48 h after its end
create or replace table since_last_night as
with new_files as (
    select intake.feed, intake.file, intake.feed || '/' || intake.file as path
    from intake
    left join last_intake using (feed, sha256)
    where last_intake.file is null and intake.rows_read > 0
),
new_passes as (
    select passes.pass_no, new_files.path
    from passes
    inner join new_files using (feed, file)
),
pass_causes as (
    select storm_passes.storm_id, storm_passes.route_id,
        string_agg(distinct new_passes.path, '; ' order by new_passes.path) as files
    from storm_passes
    inner join new_passes using (pass_no)
    group by storm_passes.storm_id, storm_passes.route_id
),
storm_spans as (
    select distinct storm_id, zone_id, from_at, until_at
    from moved_figures
),
weather_causes as (
    select storm_spans.storm_id, storm_spans.zone_id,
        string_agg(distinct new_files.path, '; ' order by new_files.path) as files
    from observations
    inner join new_files on new_files.feed = 'weather' and new_files.file = observations.file
    inner join stations using (station_id)
    inner join storm_spans on storm_spans.zone_id = stations.zone_id
        and observations.observed_at between storm_spans.from_at and storm_spans.until_at
    group by storm_spans.storm_id, storm_spans.zone_id
),
report_causes as (
    select conditions.route_id,
        string_agg(distinct new_files.path, '; ' order by new_files.path) as files
    from conditions
    inner join new_files on new_files.feed = 'conditions' and new_files.file = conditions.file
    group by conditions.route_id
),
new_of_feed as (
    select
        string_agg(path, '; ' order by path)
            filter (where feed in ('passes', 'breadcrumbs')) as passes,
        string_agg(path, '; ' order by path) filter (where feed = 'weather') as weather
    from new_files
)
select
    moved.export, moved.storm_id, moved.zone_id, moved.route_id, moved.material_class, moved.form,
        moved."column", moved.before, moved.after,
    left(coalesce(
        case when moved."column" in ('regain_h', 'regain_state') then report_causes.files
            when moved.export = 'storm_routes' then pass_causes.files end,
        weather_causes.files, last_night.changed_reference,
        case when moved.export = 'storms' then coalesce(new_of_feed.weather, new_of_feed.passes)
            else coalesce(new_of_feed.passes, new_of_feed.weather) end,
        'a changed setting or a replaced delivery'), 400) as cause
from moved_figures as moved
cross join last_night
cross join new_of_feed
left join pass_causes using (storm_id, route_id)
left join weather_causes using (storm_id, zone_id)
left join report_causes using (route_id)
order by moved.storm_id desc, moved.export desc, moved.zone_id, moved.route_id,
    moved.material_class, moved.form, moved."column"
limit 1000;
