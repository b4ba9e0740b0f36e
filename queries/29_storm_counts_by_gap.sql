-- storm_counts_by_gap: how many storms each season would have at other dry gaps.
-- grain:   one row per season, gap_h
-- reads:   observations, stations, zones, present_wx_codes, wintry_observations, run
-- units:   gap_h hour; storms a number of kept runs, all districts
-- empty:   a season without a storm at a gap has no row
-- formula: definitions, "Storms" and rule 4 of "Is an observation wintry?", with storm_gap_h replaced by 3, 6 and 12. Counted before
--          declared storms, which do not depend on the gap
create or replace table storm_counts_by_gap as
with gaps as (
    select unnest([3, 6, 12]) as gap_h
),
falling as (
    select district_id, station_id, observed_at, precip_uin
    from wintry_observations
    where rule < 4
),
drifting as (
    select
        zones.district_id,
        observations.station_id,
        observations.observed_at,
        cast(round_even(observations.precip_in * 1e6, 0) as bigint) as precip_uin
    from observations
    inner join stations on stations.station_id = observations.station_id
    inner join zones on zones.zone_id = stations.zone_id
    inner join present_wx_codes as codes on codes.present_wx = observations.present_wx
    left join falling
        on falling.station_id = observations.station_id and falling.observed_at = observations.observed_at
    where codes.has_blowing_snow and falling.station_id is null
),
fell as (
    select distinct district_id, observed_at
    from falling
),
since as (
    select drifting.*, epoch_us(drifting.observed_at) - epoch_us(fell.observed_at) as since_us
    from drifting
    asof inner join fell
        on fell.district_id = drifting.district_id and fell.observed_at <= drifting.observed_at
),
wintry as (
    select gaps.gap_h, falling.district_id, falling.station_id, falling.observed_at, falling.precip_uin
    from falling
    cross join gaps
    union all
    select gaps.gap_h, since.district_id, since.station_id, since.observed_at, since.precip_uin
    from since
    inner join gaps on since.since_us <= gaps.gap_h * 3600000000
),
spaced as (
    select
        *,
        epoch_us(observed_at) - epoch_us(lag(observed_at) over in_time) as gap_us
    from wintry
    window in_time as (partition by gap_h, district_id order by observed_at, station_id)
),
runs as (
    select
        *,
        max(case when gap_us is null or gap_us > gap_h * 3600000000 then observed_at end) over (
            partition by gap_h, district_id order by observed_at, station_id rows unbounded preceding
        ) as run_began_at
    from spaced
),
by_station as (
    select gap_h, district_id, run_began_at, station_id, sum(precip_uin) as precip_uin
    from runs
    group by gap_h, district_id, run_began_at, station_id
),
wettest as (
    select gap_h, district_id, run_began_at, max(precip_uin) as precip_uin
    from by_station
    group by gap_h, district_id, run_began_at
),
spans as (
    select gap_h, district_id, run_began_at, min(observed_at) as began_at, count(distinct observed_at) as times
    from runs
    group by gap_h, district_id, run_began_at
),
kept as (
    select
        spans.gap_h,
        year(timezone(run.time_zone, spans.began_at) - interval 6 month) as first_year
    from spans
    cross join run
    inner join wettest
        on wettest.gap_h = spans.gap_h and wettest.district_id = spans.district_id and wettest.run_began_at = spans.run_began_at
    where spans.times >= 2 or wettest.precip_uin >= 10000
)
select
    printf('%d-%02d', first_year, (first_year + 1) % 100) as season,
    gap_h,
    count(*) as storms
from kept
group by first_year, gap_h
order by season, gap_h;
