-- fallen_seasons: seasons whose pounds are fewer than in the live release, by more than
--          gate_drop_pct and than what is explained.
-- grain:   one row per season
-- reads:   run, last_passes, storm_passes, passes, delivery_files, rows_told, raw_passes
-- units:   was_lb, now_lb, explained_lb pound
-- empty:   no rows while nothing is published; now_lb is 0 where no pass of the season is left
-- formula: own rule: a correction explains what a pass lost, and so does a changed reference row:
--          told the same in the same row it counts for less, or its row is set aside now
create or replace table fallen_seasons as
with pass_moves as (
    select
        was.season,
        was.applied_lb as was_lb,
        case
            when tally.pass_key is not null
                and (files.sha256, now.line) is distinct from (was.sha256, was.line) then true
            when tally.pass_key is not null
                then now.dispensed_lb is not distinct from was.dispensed_lb
                and now.dispensed_gal is not distinct from was.dispensed_gal
            else coalesce(told.status = 'quarantined' and raw.fault_code is null, false)
        end as is_explained,
        greatest(was.applied_lb - coalesce(tally.applied_lb, 0), 0) as fallen_lb
    from last_passes as was
    left join storm_passes as tally on tally.pass_key = was.pass_key
    left join passes as now on now.pass_key = was.pass_key
    left join delivery_files as files on files.feed = now.feed and files.file = now.file
    left join rows_told as told
        on told.feed = 'passes' and told.sha256 = was.sha256 and told.line = was.line
    left join raw_passes as raw on raw.sha256 = was.sha256 and raw.line = was.line
),
season_was as (
    select
        season,
        sum(cast(round_even(was_lb * 1e6, 0) as hugeint)) / 1e6 as was_lb,
        coalesce(sum(cast(round_even(fallen_lb * 1e6, 0) as hugeint)) filter (where is_explained),
            0) / 1e6 as explained_lb
    from pass_moves
    group by season
),
season_now as (
    select season, sum(cast(round_even(applied_lb * 1e6, 0) as hugeint)) / 1e6 as now_lb
    from storm_passes
    group by season
)
select season_was.season, season_was.was_lb, coalesce(season_now.now_lb, 0) as now_lb,
    season_was.explained_lb
from season_was
cross join run
left join season_now on season_now.season = season_was.season
where coalesce(season_now.now_lb, 0) + season_was.explained_lb < season_was.was_lb
    * (1 - run.gate_drop_pct / 100)
order by season_was.season;
