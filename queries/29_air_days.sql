-- air_days: the highest and lowest air temperature of every day at every station, and the points
--          they give a season.
-- grain:   one row per season, station_id, local_date
-- reads:   observations_used, local_dates, severity_classes, severity_settings
-- units:   air_f_max, air_f_min whole degree Fahrenheit, halves rounded up; points a number;
--          report_h hours of the day with a reading; depth_in and rise_in inch, the day's greatest
--          snow depth and the rises of the depth from report to report
-- empty:   temperatures and points of a day with readings in fewer than 18 of its hours; depth_in
--          and rise_in without a depth (a rise needs the depth of a day before at most)
-- formula: methods, season severity; the points are those of severity_classes, 0 above 32 F
create or replace table air_days as
with dated as (
    select
        observations_used.station_id,
        local_dates.local_date,
        observations_used.air_f,
        observations_used.snow_depth_in,
        observations_used.observed_at
    from observations_used
    inner join local_dates on local_dates.minute_no
        = epoch_us(observations_used.observed_at) // 60000000
),
depths as (
    select
        station_id,
        local_date,
        cast(snow_depth_in * 1e6 as bigint) as depth_uin,
        case
            when observed_at <= lag(observed_at) over in_time + interval 24 hour then
                greatest(
                    cast(snow_depth_in * 1e6 as bigint)
                    - cast(lag(snow_depth_in) over in_time * 1e6 as bigint), 0
                )
        end as rise_uin
    from dated
    where snow_depth_in is not null
    window in_time as (partition by station_id order by observed_at)
),
depth_days as (
    select station_id, local_date, max(depth_uin) as depth_uin, sum(rise_uin) as rise_uin
    from depths
    group by station_id, local_date
),
days as (
    select
        station_id,
        local_date,
        -- a bit for each hour: a local day has at most 25
        coalesce(bit_count(bit_or(1 << cast(epoch_us(observed_at) // 3600000000 % 32 as bigint))
            filter (where air_f is not null)), 0) as report_h,
        floor(max(air_f) + 0.5) as highest_f,
        floor(min(air_f) + 0.5) as lowest_f
    from dated
    group by station_id, local_date
),
whole as (
    select
        days.station_id,
        days.local_date,
        days.report_h,
        case when days.report_h >= settings.day_reports_h then days.highest_f end as air_f_max,
        case when days.report_h >= settings.day_reports_h then days.lowest_f end as air_f_min
    from days
    cross join severity_settings as settings
)
select
    printf('%d-%02d', year(whole.local_date - interval 6 month),
        (year(whole.local_date - interval 6 month) + 1) % 100) as season,
    whole.station_id,
    whole.local_date,
    whole.report_h,
    whole.air_f_max,
    whole.air_f_min,
    case when whole.air_f_max is not null then
        cast(coalesce(highest.value, 0) + coalesce(lowest.value, 0) as bigint)
    end as points,
    depth_days.depth_uin / 1e6 as depth_in,
    depth_days.rise_uin / 1e6 as rise_in
from whole
left join severity_classes as highest
    on highest.factor = 'day_max' and whole.air_f_max <= highest.to_value
    and (whole.air_f_max >= highest.from_value or highest.from_value is null
        and whole.air_f_max < highest.to_value)
left join severity_classes as lowest
    on lowest.factor = 'day_min' and whole.air_f_min <= lowest.to_value
    and (whole.air_f_min >= lowest.from_value or lowest.from_value is null
        and whole.air_f_min < lowest.to_value)
left join depth_days using (station_id, local_date)
order by season, whole.station_id, whole.local_date;
