-- weather_judged: each delivered row of weather with its instant, and why it is set aside, if it
--          is.
-- grain:   one row per sha256, line
-- reads:   raw_weather, files_in_force, delivery_files, stations
-- units:   as in raw_weather
-- empty:   fault and raw are null on a sound row; observed_at is null where a raw report's month
--          is not known
-- formula: contracts, weather. The month of a report without a leading time is the last YYYY-MM of
--          the file's path; of several files with the same content, the first that names one.
--          Truncated: without wind, visibility or temperature group, which over half of the
--          station's sound reports carry
create or replace view weather_judged as
with months as (
    select
        sha256,
        cast(min_by(regexp_extract_all('/' || file || '/',
            '[^0-9]([0-9]{4}-(?:0[1-9]|1[0-2]))[^0-9]', 1)[-1], file) || '-01' as date)
            as month_begin_date
    from delivery_files
    where feed = 'weather' and sha256 is not null
    group by sha256
),

dated as (
    select
        files_in_force.file,
        delivered.* exclude (fault_column, fault_code, fault_found, fault_wanted, observed_at,
            report_day, report_minute),
        coalesce(
            delivered.observed_at,
            timezone('UTC', months.month_begin_date
                + to_days(cast(delivered.report_day - 1 as integer))
                + to_minutes(cast(delivered.report_minute as bigint)))
        ) as observed_at,
        case
            when delivered.fault_code is not null
                then {'column': delivered.fault_column, 'code': delivered.fault_code,
                    'found': delivered.fault_found, 'wanted': delivered.fault_wanted}
            when delivered.station_id is not null and stations.station_id is null
                then {'column': 'station_id', 'code': 'unknown_station',
                    'found': '"' || delivered.station_id || '"', 'wanted': null}
            when delivered.report_day is not null and months.month_begin_date is null
                then {'column': 'observed_at', 'code': 'month_not_known', 'found': null,
                    'wanted': null}
            when delivered.report_day > day(last_day(months.month_begin_date))
                then {'column': 'observed_at', 'code': 'no_such_day',
                    'found': cast(cast(delivered.report_day as integer) as varchar),
                    'wanted': strftime(months.month_begin_date, '%Y-%m')}
        end as fault
    from raw_weather as delivered
    inner join files_in_force
        on files_in_force.feed = 'weather' and files_in_force.sha256 = delivered.sha256
    left join stations on stations.station_id = delivered.station_id
    left join months on months.sha256 = delivered.sha256
),

usual_groups as (
    select
        station_id,
        2 * count(*) filter (where carries_wind) > count(*) as has_wind,
        2 * count(*) filter (where carries_visibility) > count(*) as has_visibility,
        2 * count(*) filter (where carries_temperature) > count(*) as has_temperature
    from dated
    where fault is null and report_kind is not null
    group by station_id
),

compared as (
    select
        dated.*,
        case
            when dated.fault is null and dated.report_kind is not null then concat_ws(
                ', ',
                case when usual_groups.has_wind and not dated.carries_wind then 'wind' end,
                case when usual_groups.has_visibility
                    and not dated.carries_visibility then 'visibility' end,
                case when usual_groups.has_temperature
                    and not dated.carries_temperature then 'temperature' end
            )
        end as missing_groups
    from dated
    left join usual_groups on usual_groups.station_id = dated.station_id
)

select
    * exclude (missing_groups, carries_wind, carries_visibility, carries_temperature) replace (
        case when fault is not null or missing_groups <> '' then raw end as raw,
        case
            when missing_groups <> ''
                then {'column': cast(null as varchar), 'code': 'truncated', 'found': station_id,
                    'wanted': missing_groups}
            else fault
        end as fault
    )
from compared;
