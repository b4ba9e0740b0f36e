-- weather_doubts: what is wrong or doubtful in a station's reports, and when.
-- grain:   one row per station_id, "from", "to", finding_code, name, amount
-- reads:   unchanged_runs, weather_left_out, temperature_steps, station_clocks, station_silences,
--          report_doubts
-- units:   "from", "to" instants, UTC; amount in unit, other_amount in other_unit; from_at instant,
--          UTC
-- empty:   a station with nothing to tell has no row; what the words of the code have no place for
-- formula: definitions, "Storms", last sentence; jump: a change of over 20 F in at most 20 min, or
--          a reading over 20 F from both neighbours
create or replace table weather_doubts as
with unchanged as (
    select
        station_id,
        from_at as "from",
        to_at as "to",
        if(verdict = 'stuck', 'stuck', 'unchanged') || if(what = 'air_f', '_air', '_pavement')
            as finding_code,
        value_f as amount,
        'degree Fahrenheit' as unit,
        (epoch_us(to_at) - epoch_us(from_at)) / 3.6e9 as other_amount,
        'hour' as other_unit,
        what as name
    from unchanged_runs
    where verdict in ('stuck', 'not judged')
),

jumps as (
    select
        temperature_steps.station_id,
        min(temperature_steps.from_at) as "from",
        max(temperature_steps.to_at) as "to",
        if(bool_or(weather_left_out.reason is not null), 'jump_left_out', 'jump_stands')
            as finding_code,
        max(temperature_steps.value_f) as amount,
        'degree Fahrenheit' as unit,
        20.0 as other_amount,
        'difference of degree Fahrenheit' as other_unit,
        string_agg(temperature_steps.what, ' and ' order by temperature_steps.what) as name
    from temperature_steps
    left join weather_left_out using (station_id, observed_at)
    group by temperature_steps.station_id, temperature_steps.observed_at
),

ahead as (
    select
        station_id,
        from_at as "from",
        latest_at as "to",
        'clock_ahead' as finding_code,
        reports_ahead as amount,
        'count' as unit,
        others_at as from_at
    from station_clocks
    where reports_ahead > 0
),

silent as (
    select
        station_id,
        from_at as "from",
        to_at as "to",
        'silent' as finding_code,
        silent_h as amount,
        'hour' as unit,
        storm_id as name
    from station_silences
),

told as (
    select station_id, from_at as "from", to_at as "to", finding_code, amount, unit
    from report_doubts
),

together as (
    select * from unchanged
    union all by name select * from jumps
    union all by name select * from ahead
    union all by name select * from silent
    union all by name select * from told
)

select distinct * replace (cast(amount as double) as amount,
    cast(other_amount as double) as other_amount)
from together
order by station_id, "from", "to", finding_code, name, amount;
