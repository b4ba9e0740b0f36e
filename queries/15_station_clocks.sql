-- station_clocks: how far each station's latest report lies beyond everything else that was
--          delivered.
-- grain:   one row per station_id
-- reads:   passes, observations, tickets, stock, conditions
-- units:   latest_at, others_at instants, UTC; reports_ahead reports more than 1 h after others_at;
--          from_at the first of those
-- empty:   a station that is the only one to report is not judged and has no row; from_at is empty
--          where no report lies ahead
-- formula: others_at is the latest instant of all other stations and of passes, tickets, stock and
--          conditions. A station whose reports go on for over 1 h after it has a clock that runs
--          ahead, or the other deliveries are late: the program cannot tell which
create or replace table station_clocks as
with latest as (
    select station_id, max(observed_at) as latest_at
    from observations
    group by station_id
),

others as (
    select
        latest.station_id,
        greatest(
            max(others.latest_at),
            (select max(greatest(began_at, ended_at)) from passes),
            (select max(loaded_at) from tickets),
            (select max("at") from stock),
            (select max(observed_at) from conditions)
        ) as others_at
    from latest
    inner join latest as others on others.station_id <> latest.station_id
    group by latest.station_id
)

select
    others.station_id,
    others.others_at,
    max(observations.observed_at) as latest_at,
    count(*) filter (where observations.observed_at > others.others_at + interval 1 hour)
        as reports_ahead,
    min(observations.observed_at)
        filter (where observations.observed_at > others.others_at + interval 1 hour) as from_at
from others
inner join observations using (station_id)
group by others.station_id, others.others_at
order by others.station_id;
