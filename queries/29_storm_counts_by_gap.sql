-- storm_counts_by_gap: how many storms each season would have at other dry gaps.
-- grain:   one row per season, gap_h
-- reads:   observations, stations, zones, present_wx_codes, wintry_observations, run
-- units:   gap_h hour; storms a number of kept runs, all districts
-- empty:   a season without a storm at a gap has no row
-- formula: definitions, "Storms" and rule 4 of "Is an observation wintry?", with storm_gap_h
--          replaced by 3, 6 and 12. A run is kept when another wintry time follows its first within
--          the gap, or when a station reports 0.01 in at its only time. Counted before declared
--          storms, which do not depend on the gap
create or replace table storm_counts_by_gap as
with gaps as (
    select unnest([3, 6, 12]) as gap_h
),
fell as (
    select district_id, observed_at, max(precip_uin) as precip_uin
    from wintry_observations
    where rule < 4
    group by district_id, observed_at
),
drifted as (
    select
        zones.district_id,
        observations.observed_at,
        max(cast(observations.precip_in * 1e6 as bigint)) as precip_uin
    from observations
    inner join stations using (station_id)
    inner join zones using (zone_id)
    inner join present_wx_codes as codes using (present_wx)
    where codes.has_blowing_snow
    group by zones.district_id, observations.observed_at
),
times as (
    select district_id, observed_at, precip_uin, 0 as since_us
    from fell
    union all
    select drifted.*, epoch_us(drifted.observed_at) - epoch_us(fell.observed_at) as since_us
    from drifted
    asof inner join fell
        on fell.district_id = drifted.district_id and fell.observed_at <= drifted.observed_at
),
wintry as (
    select gaps.gap_h, times.district_id, times.observed_at, max(times.precip_uin) as precip_uin
    from times
    inner join gaps on times.since_us <= gaps.gap_h * 3600000000
    group by gaps.gap_h, times.district_id, times.observed_at
),
spaced as (
    select
        *,
        coalesce(epoch_us(observed_at) - epoch_us(lag(observed_at) over in_time) > gap_h
            * 3600000000, true) as is_first,
        coalesce(epoch_us(lead(observed_at) over in_time) - epoch_us(observed_at) > gap_h
            * 3600000000, true) as is_last
    from wintry
    window in_time as (partition by gap_h, district_id order by observed_at)
),
kept as (
    select
        spaced.gap_h,
        year(timezone(run.time_zone, spaced.observed_at) - interval 6 month) as first_year
    from spaced
    cross join run
    where spaced.is_first and (not spaced.is_last or spaced.precip_uin >= 10000)
)
select
    printf('%d-%02d', first_year, (first_year + 1) % 100) as season,
    gap_h,
    count(*) as storms
from kept
group by first_year, gap_h
order by season, gap_h;
