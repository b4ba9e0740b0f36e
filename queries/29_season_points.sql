-- season_points: the severe part of every season at every station, and the points of its days.
-- grain:   one row per season, station_id
-- reads:   air_days, severity_settings, as_of, run
-- units:   points a number; days_counted, days_left_out days from first_date to last_date or as of,
--          with and without points
-- empty:   a season without a report of the station has no row; points where no day between
--          first_date and last_date has any
-- formula: methods, season severity: begins at the first of a rise of the snow depth by 0.1 in, a
--          maximum of at most 32 F, 1 December; ends at the last of such a rise, a depth of 1 in,
--          such a maximum, the end of February
create or replace table season_points as
with spans as (
    select
        air_days.season,
        air_days.station_id,
        least(
            min(air_days.local_date) filter (
                where air_days.air_f_max <= settings.cold_day_max_f
                    or air_days.rise_in >= settings.snowfall_in
            ),
            make_date(cast(left(air_days.season, 4) as bigint), 12, 1)
        ) as first_date,
        greatest(
            max(air_days.local_date) filter (
                where air_days.air_f_max <= settings.cold_day_max_f
                    or air_days.rise_in >= settings.snowfall_in
                    or air_days.depth_in >= settings.snow_cover_in
            ),
            last_day(make_date(cast(left(air_days.season, 4) as bigint) + 1, 2, 1))
        ) as last_date,
        cast(timezone(max(run.time_zone), max(as_of.as_of_at)) as date) as as_of_date
    from air_days
    cross join severity_settings as settings
    cross join run
    cross join as_of
    group by air_days.season, air_days.station_id
)
select
    spans.season,
    spans.station_id,
    spans.first_date,
    spans.last_date,
    count(air_days.points) as days_counted,
    greatest(date_diff('day', spans.first_date, least(spans.last_date, spans.as_of_date)) + 1, 0)
        - count(air_days.points) as days_left_out,
    cast(sum(air_days.points) as bigint) as points
from spans
left join air_days
    on air_days.season = spans.season and air_days.station_id = spans.station_id
    and air_days.local_date between spans.first_date and spans.last_date
group by spans.season, spans.station_id, spans.first_date, spans.last_date, spans.as_of_date
order by spans.season, spans.station_id;
