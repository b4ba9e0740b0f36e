-- gate_causes: what speaks against putting tonight's figures in the place of last night's.
-- grain:   one row per finding_code, subject
-- reads:   fallen_seasons, lost_rows, run, last_night, last_storms, last_intake, storms, passes,
--          intake, contents, observations, stations, routes
-- units:   amount, third_amount in unit, other_amount in other_unit; share_pct percent
-- empty:   no rows while nothing is published; what a code has no place for
-- formula: own rule: a vanished storm; pounds that fell by more than gate_drop_pct and that no
--          correction and no changed reference row explains; more than gate_quarantine_pct of a
--          feed's new rows set aside, files that were refused whole apart; a file that lost
--          over gate_rows_pct of its rows; passes over stale_h after their zone's latest weather
create or replace table gate_causes as
with vanished_storms as (
    select
        'gate_storm_gone' as finding_code,
        was.zone_id || ' ' || strftime(was.began_at, '%Y-%m-%dT%H:%M:%SZ') || ' '
            || strftime(was.ended_at, '%Y-%m-%dT%H:%M:%SZ') as subject,
        was.storm_id as name,
        was.zone_id as other_name,
        was.began_at as from_at,
        was.ended_at as to_at
    from last_storms as was
    where not exists (
        select 1 from storms as now
            where now.zone_id = was.zone_id and now.began_at <= was.ended_at
            and now.ended_at >= was.began_at
    )
),
pounds_fell as (
    select
        'gate_pounds_fell' as finding_code,
        season || ' ' || was_lb as subject,
        was_lb as amount,
        'pound' as unit,
        now_lb as other_amount,
        'pound' as other_unit,
        explained_lb as third_amount,
        100 * (1 - now_lb / was_lb) as share_pct,
        season as name
    from fallen_seasons
),
rows_gone as (
    select
        'gate_rows_gone' as finding_code,
        feed || ' ' || file || ' ' || coalesce(sha256, '') || ' ' || was_rows as subject,
        lost_rows as amount,
        was_rows as other_amount,
        run.gate_rows_pct as share_pct,
        feed as name,
        file as other_name
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
    inner join contents using (feed, sha256)
    left join last_intake as former using (feed, file)
    where intake.same_as is null and contents.fault_code is null
        and not exists (select 1 from last_intake as known
            where known.feed = intake.feed and known.sha256 = intake.sha256)
),
quarantined_feeds as (
    select
        'gate_rows_aside' as finding_code,
        feed || ' ' || string_agg(sha256, ' ' order by sha256) as subject,
        sum(quarantined) as amount,
        sum(rows_read) as other_amount,
        any_value(run.gate_quarantine_pct) as share_pct,
        feed as name
    from new_rows
    cross join run
    group by feed
    having sum(quarantined) * 100 > any_value(run.gate_quarantine_pct) * sum(rows_read)
),
zone_weather as (
    select stations.zone_id, max(observations.observed_at) as latest_at
    from observations
    inner join stations using (station_id)
    group by stations.zone_id
),
silent_zones as (
    select
        'gate_no_weather' as finding_code,
        zone_weather.zone_id || ' '
            || strftime(zone_weather.latest_at, '%Y-%m-%dT%H:%M:%SZ') as subject,
        count(*) as amount,
        any_value(run.stale_h) as other_amount,
        'hour' as other_unit,
        zone_weather.zone_id as name,
        zone_weather.latest_at as from_at
    from passes
    cross join run
    inner join routes using (route_id)
    inner join zone_weather using (zone_id)
    where epoch_us(passes.began_at) > epoch_us(zone_weather.latest_at) + run.stale_h * 3600000000
    group by zone_weather.zone_id, zone_weather.latest_at
),
causes as (
    select * from vanished_storms
    union all by name select * from pounds_fell
    union all by name select * from rows_gone
    union all by name select * from quarantined_feeds
    union all by name select * from silent_zones
)
select causes.* replace (cast(amount as double) as amount, coalesce(unit, 'count') as unit,
    cast(other_amount as double) as other_amount, coalesce(other_unit, 'count') as other_unit)
from causes
cross join last_night
where last_night.release is not null
order by finding_code, subject;
