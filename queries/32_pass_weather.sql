-- pass_weather: pavement temperature and wind where and when each treating pass began.
-- grain:   one row per pass_no
-- reads:   placed_passes, stations, observations_used
-- units:   pavement_uf millionth of a degree Fahrenheit and wind_umph millionth of a mile per hour,
--          sums over the stations that reported; pavement_stations, wind_stations numbers
-- empty:   a sum that no station of the zone reported in the 90 minutes before
-- formula: definitions, cold_share and wind_share: the latest of each station, surface_f before
--          air_f, then the mean over stations
create or replace table pass_weather as
with watched as (
    select
        placed_passes.pass_no,
        placed_passes.began_at,
        stations.station_id
    from placed_passes
    inner join stations using (zone_id)
    where placed_passes.is_treating
),
-- the hours whose readings can be at most 90 minutes old when a pass begins
hours as (
    select distinct station_id, unnest([hour_no, hour_no - 1, hour_no - 2]) as hour_no
    from (select distinct station_id, epoch_us(began_at) // 3600000000 as hour_no from watched)
),
reports as (
    select
        station_id,
        observed_at,
        last_value(case when surface_f is not null then observed_at end ignore nulls)
            over in_time as surface_at,
        last_value(cast(surface_f * 1e6 as bigint) ignore nulls) over in_time as surface_uf,
        last_value(case when air_f is not null then observed_at end ignore nulls)
            over in_time as air_at,
        last_value(cast(air_f * 1e6 as bigint) ignore nulls) over in_time as air_uf,
        last_value(case when wind_mph is not null then observed_at end ignore nulls)
            over in_time as wind_at,
        last_value(cast(wind_mph * 1e6 as bigint) ignore nulls) over in_time as wind_umph
    from observations_used
    semi join hours
        on hours.station_id = observations_used.station_id
            and hours.hour_no = epoch_us(observations_used.observed_at) // 3600000000
    window in_time as (partition by station_id order by observed_at)
),
latest as (
    select
        watched.pass_no,
        case
            when reports.surface_at >= watched.began_at - interval 90 minute then reports.surface_uf
            when reports.air_at >= watched.began_at - interval 90 minute then reports.air_uf
        end as pavement_uf,
        case when reports.wind_at >= watched.began_at - interval 90 minute
            then reports.wind_umph end as wind_umph
    from watched
    asof left join reports
        on reports.station_id = watched.station_id and reports.observed_at <= watched.began_at
)
select
    pass_no,
    sum(pavement_uf) as pavement_uf,
    count(pavement_uf) as pavement_stations,
    sum(wind_umph) as wind_umph,
    count(wind_umph) as wind_stations
from latest
group by pass_no;
