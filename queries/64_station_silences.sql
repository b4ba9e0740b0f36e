-- station_silences: times over 3 h inside a storm of its zone in which a station did not report
--          while another of the district did.
-- grain:   one row per storm_id, station_id, from_at
-- reads:   observations, storms, stations, zones
-- units:   silent_h hour; from_at, to_at instants, UTC: the reports on both sides, or the storm's
--          begin or end where it comes between
-- empty:   a station before its first report ever is not judged; neither is a district whose other
--          stations are silent too
-- formula: a time between two successive reports, or after the last one, cut to the storm's
--          interval
create or replace table station_silences as
with quiet as (
    select station_id, observed_at, lead(observed_at, 1, timestamptz '9999-12-31 00:00:00Z')
        over (partition by station_id order by observed_at) as next_at
    from observations
    qualify next_at > observed_at + interval 3 hour
),

long_gaps as (
    select
        storms.storm_id,
        quiet.station_id,
        zones.district_id,
        greatest(quiet.observed_at, storms.began_at) as from_at,
        least(quiet.next_at, storms.ended_at) as to_at
    from quiet
    inner join stations using (station_id)
    inner join zones using (zone_id)
    inner join storms
        on storms.zone_id = stations.zone_id
        and least(quiet.next_at, storms.ended_at) > greatest(quiet.observed_at, storms.began_at)
            + interval 3 hour
),

asked as (
    select long_gaps.*, stations.station_id as other_id
    from long_gaps
    inner join zones using (district_id)
    inner join stations on stations.zone_id = zones.zone_id
        and stations.station_id <> long_gaps.station_id
),

heard as (
    select distinct asked.storm_id, asked.station_id, asked.from_at, asked.to_at
    from observations
    inner join asked
        on asked.other_id = observations.station_id
        and observations.observed_at > asked.from_at
        and observations.observed_at < asked.to_at
)

select *, (epoch_us(to_at) - epoch_us(from_at)) / 3.6e9 as silent_h
from heard
order by storm_id, station_id, from_at;
