-- station_silences: times over 3 h inside a storm of its zone in which a station did not report while another of the district did.
-- grain:   one row per storm_id, station_id, from_at
-- reads:   storms, stations, zones, observations
-- units:   silent_h hour; from_at, to_at instants, UTC: the reports on both sides, or the storm's begin or end where it comes between
-- empty:   a station before its first report ever is not judged; neither is a district whose other stations are silent too
-- formula: a time between two successive reports, cut to the storm's interval
create or replace table station_silences as
with begun as (
    select stations.station_id, stations.zone_id, zones.district_id, min(observations.observed_at) as first_at
    from stations
    inner join zones on zones.zone_id = stations.zone_id
    inner join observations on observations.station_id = stations.station_id
    group by stations.station_id, stations.zone_id, zones.district_id
),

watched as (
    select
        storms.storm_id,
        begun.station_id,
        begun.district_id,
        greatest(storms.began_at, begun.first_at) as began_at,
        storms.ended_at
    from storms
    inner join begun on begun.zone_id = storms.zone_id
    where begun.first_at < storms.ended_at
),

marks as (
    select storm_id, station_id, district_id, began_at as mark_at
    from watched
    union
    select storm_id, station_id, district_id, ended_at as mark_at
    from watched
    union
    select watched.storm_id, watched.station_id, watched.district_id, observations.observed_at as mark_at
    from watched
    inner join observations
        on observations.station_id = watched.station_id
        and observations.observed_at between watched.began_at and watched.ended_at
),

gaps as (
    select
        *,
        lag(mark_at) over (partition by storm_id, station_id order by mark_at) as from_at
    from marks
),

long_gaps as (
    select storm_id, station_id, district_id, from_at, mark_at as to_at
    from gaps
    where mark_at > from_at + interval 3 hour
),

heard as (
    select distinct long_gaps.storm_id, long_gaps.station_id, long_gaps.from_at
    from long_gaps
    inner join begun as others
        on others.district_id = long_gaps.district_id and others.station_id <> long_gaps.station_id
    inner join observations
        on observations.station_id = others.station_id
        and observations.observed_at > long_gaps.from_at
        and observations.observed_at < long_gaps.to_at
)

select
    long_gaps.storm_id,
    long_gaps.station_id,
    long_gaps.from_at,
    long_gaps.to_at,
    (epoch_us(long_gaps.to_at) - epoch_us(long_gaps.from_at)) / 3.6e9 as silent_h
from long_gaps
inner join heard
    on heard.storm_id = long_gaps.storm_id
    and heard.station_id = long_gaps.station_id
    and heard.from_at = long_gaps.from_at
order by long_gaps.storm_id, long_gaps.station_id, long_gaps.from_at;
