-- weather_events: begins and ends of weather that the remarks of raw reports tell.
-- grain:   one row per station_id, event_at, what, is_begin
-- reads:   observations_told
-- units:   event_at instant, UTC; what descriptor and phenomena of FM-15, such as SN
-- empty:   a report without such remarks has no row
-- formula: FMH-1, "Beginning and Ending of Precipitation"; storms are told by observations, never
--          by these
create or replace table weather_events as
with words as (
    select
        station_id,
        observed_at,
        string_split(unnest(string_split(report_events, ' ')), ':') as parts
    from observations_told
    where is_in_force and report_events is not null
)

select distinct
    station_id,
    observed_at - to_minutes(cast(parts[3] as bigint)) as event_at,
    parts[2] as what,
    parts[1] = 'B' as is_begin
from words
order by station_id, event_at, what, is_begin;
