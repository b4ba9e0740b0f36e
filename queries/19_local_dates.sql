-- local_dates: the local date of every minute in which a pass began or a station reported.
-- grain:   one row per minute_no
-- reads:   observations, passes, run
-- units:   minute_no minutes since 1970-01-01 00:00 UTC
-- empty:   a minute in which neither happened has no row
-- formula: the clocks of all time zones differ from UTC by whole minutes, and change at one (the
--          time zone database, since 1973), so that a minute has one date; asked once for each,
--          since the time zone is slow to ask for every row
create or replace table local_dates as
with minutes as (
    select epoch_us(observed_at) // 60000000 as minute_no
    from observations
    union
    select epoch_us(began_at) // 60000000 as minute_no
    from passes
)
select minute_no, cast(timezone((select time_zone from run), make_timestamptz(minute_no * 60000000))
    as date) as local_date
from minutes;
