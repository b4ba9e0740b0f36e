-- position_trucks: what became of each truck's positions and of the pounds that it put out, by
--          season.
-- grain:   one row per season, truck_id
-- reads:   crumb_traces, between_traces, run
-- units:   traces, points, on_route, off_network, jumps, frozen, counter_faults numbers; fed_lb,
--          unplaced_lb pound; miles on routes without working (travel_mi) and off them
--          (off_network_mi)
-- empty:   a truck without positions in the season has no row; unplaced_since_at, the begin of the
--          latest, where no pounds are unplaced
-- formula: sums over the truck's traces; the season is that of the trace's begin. Pounds that went
--          out between two traces are in both sums
create or replace table position_trucks as
with dated as (
    select crumb_traces.*, year(timezone(run.time_zone, crumb_traces.began_at) - interval 6 month)
        as first_year
    from crumb_traces
    cross join run
),
risen as (
    select truck_id, first_year, sum(risen_ulb) as risen_ulb, max(began_at) as since_at
    from between_traces
    group by truck_id, first_year
)
select
    printf('%d-%02d', dated.first_year, (dated.first_year + 1) % 100) as season,
    dated.truck_id,
    count(*) as traces,
    cast(sum(points) as bigint) as points,
    cast(sum(on_route) as bigint) as on_route,
    cast(sum(off_network) as bigint) as off_network,
    cast(sum(jumps) as bigint) as jumps,
    cast(sum(frozen) as bigint) as frozen,
    cast(sum(counter_faults) as bigint) as counter_faults,
    sum(cast(travel_mi * 1e6 as bigint)) / 1e6 as travel_mi,
    sum(cast(off_network_mi * 1e6 as bigint)) / 1e6 as off_network_mi,
    (sum(fed_ulb) + coalesce(any_value(risen.risen_ulb), 0)) / 1e6 as fed_lb,
    (sum(unplaced_ulb) + coalesce(any_value(risen.risen_ulb), 0)) / 1e6 as unplaced_lb,
    greatest(max(dated.began_at) filter (where unplaced_ulb > 0), any_value(risen.since_at))
        as unplaced_since_at
from dated
left join risen using (truck_id, first_year)
group by dated.first_year, dated.truck_id
order by season, truck_id;
