-- pass_weather: pavement temperature and wind where and when each treating pass began.
-- grain:   one row per pass_key
-- reads:   passes, pass_measures, stations, observations_used
-- units:   pavement_uf millionth of a degree Fahrenheit and wind_umph millionth of a mile per hour, sums over the stations that
--          reported; pavement_stations, wind_stations numbers
-- empty:   a sum that no station of the zone reported in the 90 minutes before
-- formula: definitions, cold_share and wind_share: the latest of each station, surface_f before air_f, then the mean over stations
create or replace table pass_weather as
with reports as (
    select
        station_id,
        observed_at,
        cast(round_even(surface_f * 1e6, 0) as bigint) as surface_uf,
        cast(round_even(air_f * 1e6, 0) as bigint) as air_uf,
        cast(round_even(wind_mph * 1e6, 0) as bigint) as wind_umph
    from observations_used
),
surfaces as (
    select station_id, observed_at, surface_uf
    from reports
    where surface_uf is not null
),
airs as (
    select station_id, observed_at, air_uf
    from reports
    where air_uf is not null
),
winds as (
    select station_id, observed_at, wind_umph
    from reports
    where wind_umph is not null
),
watched as (
    select
        passes.pass_key,
        passes.began_at,
        stations.station_id
    from passes
    inner join pass_measures on pass_measures.pass_key = passes.pass_key
    inner join stations on stations.zone_id = pass_measures.zone_id
    where pass_measures.is_treating
),
latest as (
    select
        watched.pass_key,
        case
            when surfaces.observed_at >= watched.began_at - interval 90 minute then surfaces.surface_uf
            when airs.observed_at >= watched.began_at - interval 90 minute then airs.air_uf
        end as pavement_uf,
        case
            when winds.observed_at >= watched.began_at - interval 90 minute then winds.wind_umph
        end as wind_umph
    from watched
    asof left join surfaces
        on surfaces.station_id = watched.station_id and surfaces.observed_at <= watched.began_at
    asof left join airs
        on airs.station_id = watched.station_id and airs.observed_at <= watched.began_at
    asof left join winds
        on winds.station_id = watched.station_id and winds.observed_at <= watched.began_at
)
select
    pass_key,
    sum(pavement_uf) as pavement_uf,
    count(pavement_uf) as pavement_stations,
    sum(wind_umph) as wind_umph,
    count(wind_umph) as wind_stations
from latest
group by pass_key
order by pass_key;
