-- between_traces: what a truck's running counter rose by between one trace and the next: in a
--          silence, or at the end of a stop.
-- grain:   one row per truck_id, began_at
-- reads:   crumb_traces, run
-- units:   risen_ulb millionth of a pound; began_at, ended_at the readings before and after
-- empty:   no row where the counter did not rise by more than a pound, where it fell, where it rose
--          by more than can have gone out, or where the readings are over 24 h apart, since another
--          counter may stand there
-- formula: reading after less reading before; 100 lb a second and a wavering last digit as within a
--          trace; first_year is that of the season of the reading before
create or replace table between_traces as
with following as (
    select
        truck_id,
        last_total_at as began_at,
        last_total_lb,
        lead(first_total_at) over in_order as ended_at,
        lead(first_total_lb) over in_order as next_total_lb
    from crumb_traces
    where last_total_at is not null
    window in_order as (partition by truck_id order by began_at)
)

select
    following.truck_id,
    following.began_at,
    following.ended_at,
    cast((next_total_lb - last_total_lb) * 1e6 as bigint) as risen_ulb,
    year(timezone(run.time_zone, following.began_at) - interval 6 month) as first_year
from following
cross join run
where next_total_lb - last_total_lb > 1
    and next_total_lb - last_total_lb <= (epoch_us(ended_at) - epoch_us(following.began_at)) / 1e6
    * 100 + 1
    and epoch_us(ended_at) - epoch_us(following.began_at) <= 86400000000
order by truck_id, began_at;
