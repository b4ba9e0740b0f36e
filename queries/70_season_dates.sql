-- season_dates: to which instant each season is set beside the season that is running.
-- grain:   one row per season
-- reads:   storms, outside_storms, as_of, run
-- units:   same_date_at instant, UTC
-- empty:   same_date_at for the latest season, and for all while nothing has been accepted
-- formula: the local date and time that the data reaches, as many years earlier as the latest
--          season is later; a 29 February counts as 1 March in a year without one
create or replace table season_dates as
with seasons as (
    select season
    from storms
    union
    select season
    from outside_storms
),
aged as (
    select
        season,
        max(cast(left(season, 4) as integer)) over () - cast(left(season, 4) as integer) as years
    from seasons
),
reached as (
    select
        run.time_zone,
        timezone(run.time_zone, as_of.as_of_at) as local_at,
        date_trunc('month', timezone(run.time_zone, as_of.as_of_at)) as month_at
    from as_of
    cross join run
)
select
    aged.season,
    case
        when aged.years > 0 then timezone(
            reached.time_zone,
            reached.month_at - to_years(aged.years) + (reached.local_at - reached.month_at)
        )
    end as same_date_at
from aged
cross join reached
order by season;
