-- observations_told: what each delivered row of weather is tonight: accepted, duplicate, correction
--          or quarantined.
-- grain:   one row per sha256, line
-- reads:   weather_judged
-- units:   air_f degree Fahrenheit; surface_f degree Fahrenheit; dew_f degree Fahrenheit; wind_mph
--          mile per hour; gust_mph mile per hour; wind_deg degree; visibility_mi mile; precip_in
--          inch; snow_depth_in inch
-- empty:   fault columns are empty on a row that is not quarantined
-- formula: contracts, "Order decides, not arrival"; of the raw reports of one key a correction
--          stands over what is none, then METAR over SPECI, then the later over the earlier. A row
--          is held against the one in force before it: equal is a duplicate; other is a correction,
--          which takes effect unless the one in force outranks it
create or replace table observations_told as
with judged as (
    select * -- as a step, so that the view is worked out once
    from weather_judged
),

crowded_keys as (
    select station_id, observed_at
    from judged
    where fault is null
    group by station_id, observed_at
    having count(*) > 1
),

crowded as (
    select
        sha256, file, line, station_id, observed_at,
        row(
            station_id, observed_at, air_f, surface_f, dew_f, wind_mph, gust_mph, wind_deg,
                visibility_mi, precip_in, present_wx,
            snow_depth_in, precip_is_trace, report_kind, hour_precip_in, hour_is_trace,
                report_events, snow_rise_in, ice_in,
            is_freezing_out, is_weather_out, is_gauge_out
        ) as told_values,
        row(coalesce(is_correction, false), coalesce(report_kind, 'METAR') = 'METAR', file, line)
            as standing
    from judged
    semi join crowded_keys using (station_id, observed_at)
    where fault is null
),

compared as (
    select
        sha256, line, station_id, observed_at, told_values,
        row_number() over in_order as place,
        arg_max(told_values, standing)
            over (in_order rows between unbounded preceding and 1 preceding) as held_values,
        arg_max(told_values, standing)
            over (partition by station_id, observed_at) as values_in_force
    from crowded
    window in_order as (partition by station_id, observed_at order by file, line)
),

settled as (
    select
        sha256,
        line,
        case when place = 1 then 'accepted'
            when told_values is not distinct from held_values then 'duplicate'
            else 'correction' end as status,
        place = max(place) filter (
            where told_values is not distinct from values_in_force
                and (place = 1 or told_values is distinct from held_values)
        ) over (partition by station_id, observed_at) as is_in_force
    from compared
)

select
    judged.* exclude (fault),
    fault.column as fault_column,
    fault.code as fault_code,
    fault.found as fault_found,
    fault.wanted as fault_wanted,
    case when fault is not null then 'quarantined'
        else coalesce(settled.status, 'accepted') end as status,
    fault is null and coalesce(settled.is_in_force, true) as is_in_force
from judged
left join settled using (sha256, line);
