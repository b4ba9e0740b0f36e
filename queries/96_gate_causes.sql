-- gate_causes: what speaks against putting tonight's figures in the place of last night's.
-- grain:   one row per kind, subject
-- reads:   fallen_seasons, lost_rows, run, last_night, last_storms, last_intake, storms, passes,
--          intake, contents, observations, stations, routes
-- units:   pounds pound; shares percent
-- empty:   no rows while nothing is published
-- formula: own rule: a vanished storm; pounds that fell by more than gate_drop_pct and that no
--          correction and no changed reference row explains; more than gate_quarantine_pct of a
--          feed's new rows set aside, files that were refused whole apart; a file that lost
--          over gate_rows_pct of its rows; passes over stale_h after their zone's latest weather
create or replace table gate_causes as
with vanished_storms as (
    select
        'a storm is gone' as kind,
        was.zone_id || ' ' || strftime(was.began_at, '%Y-%m-%dT%H:%M:%SZ') || ' '
            || strftime(was.ended_at, '%Y-%m-%dT%H:%M:%SZ') as subject,
        'storm ' || was.storm_id || ' of zone ' || was.zone_id || ', '
            || strftime(was.began_at, '%Y-%m-%d %H:%M') || ' to '
            || strftime(was.ended_at, '%Y-%m-%d %H:%M')
            || ' UTC, is covered by no storm now' as found,
        'look for weather that was replaced or corrected, for stations.csv and for the storm '
            || 'settings' as remedy
    from last_storms as was
    where not exists (
        select 1 from storms as now
            where now.zone_id = was.zone_id and now.began_at <= was.ended_at
            and now.ended_at >= was.began_at
    )
),
pounds_fell as (
    select
        'pounds fell' as kind,
        season || ' ' || was_lb as subject,
        printf('season %s fell from %.0f to %.0f lb, %.1f %%, of which corrections and changed '
            || 'reference rows explain %.0f lb', season, was_lb, now_lb,
            100 * (1 - now_lb / was_lb), explained_lb) as found,
        'look for a pass delivery that was replaced by a shorter one, and for its column '
            || 'mapping in district.toml' as remedy
    from fallen_seasons
),
rows_gone as (
    select
        'rows are gone' as kind,
        feed || ' ' || file || ' ' || coalesce(sha256, '') || ' ' || was_rows as subject,
        printf('%d of %d rows of %s/%s are gone, more than gate_rows_pct = %g',
            lost_rows, was_rows, feed, file, run.gate_rows_pct) as found,
        'deliver the file whole again; where its rows moved into other files, or were withdrawn, '
            || 'accept it' as remedy
    from lost_rows
    cross join run
),
new_rows as (
    select
        intake.feed,
        intake.sha256,
        greatest(intake.quarantined - coalesce(former.quarantined, 0), 0) as quarantined,
        greatest(intake.rows_read - coalesce(former.rows_read, 0),
            intake.quarantined - coalesce(former.quarantined, 0), 0) as rows_read
    from intake
    inner join contents on contents.feed = intake.feed and contents.sha256 = intake.sha256
    left join last_intake as former on former.feed = intake.feed and former.file = intake.file
    where intake.same_as is null and contents.fault_reason is null
        and not exists (select 1 from last_intake as known
            where known.feed = intake.feed and known.sha256 = intake.sha256)
),
quarantined_feeds as (
    select
        'many rows set aside' as kind,
        feed || ' ' || string_agg(sha256, ' ' order by sha256) as subject,
        printf('%d of %d new rows of %s are set aside, more than gate_quarantine_pct = %g',
            cast(sum(quarantined) as bigint), cast(sum(rows_read) as bigint), feed,
            any_value(run.gate_quarantine_pct)) as found,
        'see the reasons with lanetally check; often a truck, crew or route is missing in '
            || 'reference/, or an export changed its form' as remedy
    from new_rows
    cross join run
    group by feed
    having sum(quarantined) * 100 > any_value(run.gate_quarantine_pct) * sum(rows_read)
),
zone_weather as (
    select stations.zone_id, max(observations.observed_at) as latest_at
    from observations
    inner join stations on stations.station_id = observations.station_id
    group by stations.zone_id
),
silent_zones as (
    select
        'passes without weather' as kind,
        zone_weather.zone_id || ' '
            || strftime(zone_weather.latest_at, '%Y-%m-%dT%H:%M:%SZ') as subject,
        printf(
            '%d passes in zone %s are more than stale_h = %g h after its latest weather (%s UTC)',
            count(*), zone_weather.zone_id, any_value(run.stale_h),
            strftime(zone_weather.latest_at, '%Y-%m-%d %H:%M')) as found,
        'look for the weather delivery, and for clocks of trucks that run ahead' as remedy
    from passes
    cross join run
    inner join routes on routes.route_id = passes.route_id
    inner join zone_weather on zone_weather.zone_id = routes.zone_id
    where epoch_us(passes.began_at) > epoch_us(zone_weather.latest_at) + run.stale_h * 3600000000
    group by zone_weather.zone_id, zone_weather.latest_at
),
causes as (
    select * from vanished_storms
    union all
    select * from pounds_fell
    union all
    select * from rows_gone
    union all
    select * from quarantined_feeds
    union all
    select * from silent_zones
)
select left(sha256(causes.kind || '|' || causes.subject), 12) as hash, causes.*
from causes
cross join last_night
where last_night.release is not null
order by causes.kind, causes.subject;
