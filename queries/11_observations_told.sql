-- observations_told: what each delivered row of weather is tonight: accepted, duplicate, correction or quarantined.
-- grain:   one row per sha256, line
-- reads:   raw_weather, files_in_force, stations
-- units:   air_f degree Fahrenheit; surface_f degree Fahrenheit; dew_f degree Fahrenheit; wind_mph mile per hour; gust_mph mile per hour; wind_deg degree; visibility_mi mile; precip_in inch; snow_depth_in inch
-- empty:   fault columns are empty on a row that is not quarantined; row_key is empty on one that is
-- formula: contracts, "Order decides, not arrival"; the row of the same key before it holds the value in force
create or replace table observations_told as
with judged as (
    select
        files_in_force.file,
        delivered.* exclude (raw, fault_column, fault_reason, fault_remedy),
        case
            when delivered.fault_reason is not null
                then {'column': delivered.fault_column, 'reason': delivered.fault_reason, 'remedy': delivered.fault_remedy}
            when delivered.station_id is not null and stations.station_id is null
                then {'column': 'station_id', 'reason': 'unknown station', 'remedy': 'station_id "' || delivered.station_id || '" is not in reference/stations.csv; add it there, or correct the row'}
        end as fault
    from raw_weather as delivered
    inner join files_in_force on files_in_force.feed = 'weather' and files_in_force.sha256 = delivered.sha256
    left join stations on stations.station_id = delivered.station_id
),

keyed as (
    select
        *,
        case
            when fault is null
                then station_id || '@' || epoch_us(observed_at)
        end as row_key,
        row(
            station_id,
            observed_at,
            air_f,
            surface_f,
            dew_f,
            wind_mph,
            gust_mph,
            wind_deg,
            visibility_mi,
            precip_in,
            present_wx,
            snow_depth_in,
            precip_is_trace
        ) as told_values
    from judged
),

crowded_keys as (
    select row_key
    from keyed
    where row_key is not null
    group by row_key
    having count(*) > 1
),

compared as (
    select
        sha256,
        line,
        row_key,
        row_number() over in_order as place,
        told_values is not distinct from lag(told_values) over in_order as is_same
    from keyed
    semi join crowded_keys using (row_key)
    window in_order as (partition by row_key order by file, line)
),

settled as (
    select
        sha256,
        line,
        case when place = 1 then 'accepted' when is_same then 'duplicate' else 'correction' end as status,
        place = max(place) filter (where place = 1 or not is_same) over (partition by row_key) as is_in_force
    from compared
)

select
    keyed.* exclude (fault, told_values),
    fault.column as fault_column,
    fault.reason as fault_reason,
    fault.remedy as fault_remedy,
    case when fault is not null then 'quarantined' else coalesce(settled.status, 'accepted') end as status,
    fault is null and coalesce(settled.is_in_force, true) as is_in_force
from keyed
left join settled using (sha256, line)
order by file, line;
