-- wintry_observations: the observations that open a storm or keep one open, with the rule that says
--          so.
-- grain:   one row per station_id, observed_at
-- reads:   observations_used, stations, zones, present_wx_codes, run
-- units:   air_f and surface_f degree Fahrenheit; precip_uin millionth of an inch; weight_us
--          microsecond
-- empty:   an observation that is not wintry has no row; phase is empty for rain at or below
--          freezing, bare amounts and drift
-- formula: definitions, "Is an observation wintry?"; weight and phase: definitions, "Storms",
--          snow_h
create or replace table wintry_observations as
with judged as (
    select
        zones.district_id,
        stations.zone_id,
        observations_used.station_id,
        observations_used.observed_at,
        coalesce(observations_used.surface_f, observations_used.air_f) as t_f,
        cast(observations_used.precip_in * 1e6 as bigint) as precip_uin,
        observations_used.precip_in > 0
            or coalesce(observations_used.precip_is_trace, false) as has_amount,
        lead(observations_used.observed_at) over (
            partition by observations_used.station_id order by observations_used.observed_at
        ) as next_observed_at,
        codes.is_frozen_any_temp,
        codes.is_frozen_cold,
        codes.is_cold_precip,
        coalesce(codes.has_precip, false) as has_precip,
        codes.has_blowing_snow,
        case
            when codes.has_freezing then 'freezing'
            when codes.has_sleet then 'sleet'
            when codes.has_snow then 'snow'
        end as phase
    from observations_used
    inner join stations using (station_id)
    inner join zones using (zone_id)
    left join present_wx_codes as codes using (present_wx)
),
ruled as (
    select
        *,
        case
            when is_frozen_any_temp then 1
            when is_frozen_cold and (t_f is null or t_f <= 40.0) then 1
            when is_cold_precip and t_f <= 32.0 then 2
            when not has_precip and has_amount and t_f <= 34.0 then 3
        end as rule
    from judged
),
falling as (
    select distinct district_id, observed_at
    from ruled
    where rule is not null
),
kept_open as (
    select ruled.station_id, ruled.observed_at
    from ruled
    asof inner join falling
        on falling.district_id = ruled.district_id and falling.observed_at <= ruled.observed_at
    cross join run
    where ruled.rule is null and ruled.has_blowing_snow
        and epoch_us(ruled.observed_at) - epoch_us(falling.observed_at) <= run.storm_gap_h
            * 3600000000
)
select
    ruled.district_id,
    ruled.zone_id,
    ruled.station_id,
    ruled.observed_at,
    coalesce(ruled.rule, 4) as rule,
    ruled.phase,
    ruled.precip_uin,
    coalesce(
        least(epoch_us(ruled.next_observed_at) - epoch_us(ruled.observed_at), 3600000000),
            3600000000
    ) as weight_us
from ruled
left join kept_open using (station_id, observed_at)
where ruled.rule is not null or kept_open.station_id is not null;
