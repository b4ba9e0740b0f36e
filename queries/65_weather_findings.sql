-- weather_findings: what is wrong or doubtful in a station's reports, and when.
-- grain:   one row per station_id, "from", "to", kind
-- reads:   unchanged_runs, weather_left_out, temperature_steps, station_clocks, station_silences, report_doubts
-- units:   "from", "to" instants, UTC
-- empty:   a station with nothing to tell has no row
-- formula: definitions, "Storms", last sentence; jump: a change of over 20 F in at most 20 min, or a reading over 20 F from both neighbours
create or replace table weather_findings as
with unchanged as (
    select
        station_id,
        from_at,
        to_at,
        case verdict when 'stuck' then 'stuck' else 'unchanged, not judged' end as kind,
        printf('%s reads %.1f F for %.1f h; ', what, value_f, (epoch_us(to_at) - epoch_us(from_at)) / 3.6e9)
        || case
            when verdict = 'stuck' and what = 'air_f'
                then 'another station of the zone moves: the sensor counts as stuck, and these temperatures are left out'
            when verdict = 'stuck'
                then 'another pavement of the zone, or the air at this one, moves: the sensor counts as stuck, and these temperatures are left out'
            when what = 'air_f' then 'no other station of the zone reports, so a stuck sensor and still weather look alike; the temperatures are used'
            else 'no other pavement of the zone reports, and the air beside it tells nothing (near freezing, or not reported): look at the sensor; the temperatures are used'
        end as text
    from unchanged_runs
    where verdict in ('stuck', 'not judged')
),

jumps as (
    select
        temperature_steps.station_id,
        min(temperature_steps.from_at) as from_at,
        max(temperature_steps.to_at) as to_at,
        'jump' as kind,
        printf(
            '%s changes by over 20 F, to %.1f F; %s',
            string_agg(temperature_steps.what, ' and ' order by temperature_steps.what),
            max(temperature_steps.value_f),
            case
                when bool_or(weather_left_out.reason is not null) then 'the reading is left out of every temperature'
                else 'it stands, because a neighbour agrees with it'
            end
        ) as text
    from temperature_steps
    left join weather_left_out
        on weather_left_out.station_id = temperature_steps.station_id
        and weather_left_out.observed_at = temperature_steps.observed_at
    group by temperature_steps.station_id, temperature_steps.observed_at
),

ahead as (
    select
        station_id,
        from_at,
        latest_at as to_at,
        'clock ahead' as kind,
        printf('%d reports lie over 1 h after everything else that was delivered (%s); the station''s clock is wrong, or the other deliveries are late', reports_ahead, strftime(others_at, '%Y-%m-%dT%H:%MZ')) as text
    from station_clocks
    where reports_ahead > 0
),

together as (
    select station_id, from_at, to_at, kind, text from unchanged
    union all
    select station_id, from_at, to_at, kind, text from jumps
    union all
    select station_id, from_at, to_at, kind, text from ahead
    union all
    select
        station_id,
        from_at,
        to_at,
        'silent in a storm' as kind,
        printf('no report for %.1f h in the storm %s while another station of the district reports', silent_h, storm_id) as text
    from station_silences
    union all
    select station_id, from_at, to_at, kind, text from report_doubts
)

select
    station_id,
    from_at as "from",
    to_at as "to",
    kind,
    string_agg(distinct text, '; ' order by text) as text
from together
group by station_id, from_at, to_at, kind
order by station_id, "from", "to", kind;
