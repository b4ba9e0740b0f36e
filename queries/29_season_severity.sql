-- season_severity: how hard every season was in every zone: points of its cold days, and plain
--          exposures.
-- grain:   one row per season, zone_id
-- reads:   season_points, wintry_observations, observations_used, stations, zones,
--          severity_settings, local_dates
-- units:   temperature_points a number; snow_h, freezing_h, windy_h hour; water_in inch; air_f_min,
--          surface_f_min degree Fahrenheit
-- empty:   a zone without a report in the season has no row; a measure that no station of the zone
--          reported
-- formula: methods, season severity, temperature part only. Snow, freezing rain and water are those
--          of wintry reports in the whole season; wind above 15 mph that of reports from first_date
--          to last_date. Hours and water are means over stations
create or replace table season_severity as
with reports as (
    select
        observations_used.*,
        local_dates.local_date,
        year(local_dates.local_date - interval 6 month) as first_year,
        least(
            coalesce(lead(epoch_us(observed_at)) over (partition by station_id order by observed_at)
                - epoch_us(observed_at), 3600000000),
            3600000000
        ) as weight_us
    from observations_used
    inner join local_dates on local_dates.minute_no
        = epoch_us(observations_used.observed_at) // 60000000
),
by_station as (
    select
        season_points.season,
        reports.station_id,
        sum(wintry_observations.weight_us)
            filter (where wintry_observations.phase = 'snow') as snow_us,
        sum(wintry_observations.weight_us)
            filter (where wintry_observations.phase = 'freezing') as freezing_us,
        coalesce(sum(wintry_observations.precip_uin), case
            when count(reports.precip_in) > 0 then 0 end) as water_uin,
        min(reports.air_f) as air_f_min,
        min(reports.surface_f) as surface_f_min,
        count(reports.wind_mph) as wind_reports,
        sum(reports.weight_us) filter (
            where reports.wind_mph > settings.windy_mph
                and reports.local_date between season_points.first_date and season_points.last_date
        ) as windy_us
    from reports
    cross join severity_settings as settings
    inner join season_points
        on cast(left(season_points.season, 4) as integer) = reports.first_year
            and season_points.station_id = reports.station_id
    left join wintry_observations
        on wintry_observations.station_id = reports.station_id
            and wintry_observations.observed_at = reports.observed_at
    group by season_points.season, reports.station_id
)
select
    by_station.season,
    zones.district_id,
    zones.zone_id,
    count(*) as stations,
    min(season_points.first_date) as first_date,
    max(season_points.last_date) as last_date,
    cast(sum(season_points.days_counted) as bigint) as days_counted,
    cast(sum(season_points.days_left_out) as bigint) as days_left_out,
    sum(season_points.points) / nullif(count(season_points.points), 0) as temperature_points,
    coalesce(sum(by_station.snow_us), 0) / count(*) / 3.6e9 as snow_h,
    coalesce(sum(by_station.freezing_us), 0) / count(*) / 3.6e9 as freezing_h,
    sum(by_station.water_uin) / nullif(count(by_station.water_uin), 0) / 1e6 as water_in,
    min(by_station.air_f_min) as air_f_min,
    min(by_station.surface_f_min) as surface_f_min,
    coalesce(sum(by_station.windy_us), 0)
        / nullif(count(*) filter (where by_station.wind_reports > 0), 0) / 3.6e9 as windy_h
from by_station
inner join season_points using (season, station_id)
inner join stations using (station_id)
inner join zones using (zone_id)
group by by_station.season, zones.district_id, zones.zone_id
order by season, zone_id;
