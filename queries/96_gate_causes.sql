-- gate_causes: what speaks against putting tonight's figures in the place of last night's.
-- grain:   one row per kind, subject
-- reads:   run, last_night, last_storms, last_passes, last_intake, storms, storm_passes, passes, passes_told, raw_passes, delivery_files, intake, contents, observations, stations, routes
-- units:   pounds pound; shares percent
-- empty:   no rows while nothing is published
-- formula: own rule: a vanished storm; pounds that fell by more than gate_drop_pct and that no correction and no changed reference row explains;
--          more than gate_quarantine_pct of a feed's new rows set aside, files that were refused whole apart; passes over stale_h after their zone's latest weather
create or replace table gate_causes as
with vanished_storms as (
    select
        'a storm is gone' as kind,
        was.zone_id || ' ' || strftime(was.began_at, '%Y-%m-%dT%H:%M:%SZ') || ' ' || strftime(was.ended_at, '%Y-%m-%dT%H:%M:%SZ') as subject,
        'storm ' || was.storm_id || ' of zone ' || was.zone_id || ', ' || strftime(was.began_at, '%Y-%m-%d %H:%M') || ' to ' || strftime(was.ended_at, '%Y-%m-%d %H:%M')
            || ' UTC, is covered by no storm now' as found,
        'look for weather that was replaced or corrected, for stations.csv and for the storm settings' as remedy
    from last_storms as was
    where not exists (
        select 1 from storms as now where now.zone_id = was.zone_id and now.began_at <= was.ended_at and now.ended_at >= was.began_at
    )
),
pass_moves as (
    select
        was.season,
        was.applied_lb as was_lb,
        case
            when tally.pass_key is not null and (files.sha256, now.line) is distinct from (was.sha256, was.line) then true
            when tally.pass_key is not null then now.dispensed_lb is not distinct from was.dispensed_lb and now.dispensed_gal is not distinct from was.dispensed_gal
            else coalesce(told.status = 'quarantined' and raw.fault_reason is null, false)
        end as is_explained,
        greatest(was.applied_lb - coalesce(tally.applied_lb, 0), 0) as fallen_lb
    from last_passes as was
    left join storm_passes as tally on tally.pass_key = was.pass_key
    left join passes as now on now.pass_key = was.pass_key
    left join delivery_files as files on files.feed = now.feed and files.file = now.file
    left join passes_told as told on told.sha256 = was.sha256 and told.line = was.line
    left join raw_passes as raw on raw.sha256 = was.sha256 and raw.line = was.line
),
season_was as (
    select
        season,
        sum(cast(round_even(was_lb * 1e6, 0) as hugeint)) / 1e6 as was_lb,
        coalesce(sum(cast(round_even(fallen_lb * 1e6, 0) as hugeint)) filter (where is_explained), 0) / 1e6 as explained_lb
    from pass_moves
    group by season
),
season_now as (
    select season, sum(cast(round_even(applied_lb * 1e6, 0) as hugeint)) / 1e6 as now_lb
    from storm_passes
    group by season
),
fallen_seasons as (
    select
        'pounds fell' as kind,
        season_was.season || ' ' || season_was.was_lb as subject,
        printf('season %s fell from %.0f to %.0f lb, %.1f %%, of which corrections and changed reference rows explain %.0f lb', season_was.season,
            season_was.was_lb, coalesce(season_now.now_lb, 0), 100 * (1 - coalesce(season_now.now_lb, 0) / season_was.was_lb), season_was.explained_lb) as found,
        'look for a pass delivery that was replaced by a shorter one, and for its column mapping in district.toml' as remedy
    from season_was
    cross join run
    left join season_now on season_now.season = season_was.season
    where coalesce(season_now.now_lb, 0) + season_was.explained_lb < season_was.was_lb * (1 - run.gate_drop_pct / 100)
),
new_rows as (
    select
        intake.feed,
        intake.sha256,
        greatest(intake.quarantined - coalesce(former.quarantined, 0), 0) as quarantined,
        greatest(intake.rows_read - coalesce(former.rows_read, 0), intake.quarantined - coalesce(former.quarantined, 0), 0) as rows_read
    from intake
    inner join contents on contents.feed = intake.feed and contents.sha256 = intake.sha256
    left join last_intake as former on former.feed = intake.feed and former.file = intake.file
    where intake.same_as is null and contents.fault_reason is null
        and not exists (select 1 from last_intake as known where known.feed = intake.feed and known.sha256 = intake.sha256)
),
quarantined_feeds as (
    select
        'many rows set aside' as kind,
        feed || ' ' || string_agg(sha256, ' ' order by sha256) as subject,
        printf('%d of %d new rows of %s are set aside, more than gate_quarantine_pct = %g', cast(sum(quarantined) as bigint), cast(sum(rows_read) as bigint), feed,
            any_value(run.gate_quarantine_pct)) as found,
        'see the reasons with lanetally check; often a truck, crew or route is missing in reference/, or an export changed its form' as remedy
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
        zone_weather.zone_id || ' ' || strftime(zone_weather.latest_at, '%Y-%m-%dT%H:%M:%SZ') as subject,
        printf('%d passes in zone %s are more than stale_h = %g h after its latest weather (%s UTC)', count(*), zone_weather.zone_id, any_value(run.stale_h),
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
    select * from fallen_seasons
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
