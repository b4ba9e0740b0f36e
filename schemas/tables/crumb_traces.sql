-- crumb_traces: a truck's way between stops longer than pass_gap_min: what became of its positions
--          and of the pounds that went out.
-- grain:   one row per truck_id, began_at
-- reads:   -
-- units:   day UTC day of began_at, from 1970-01-01; points, on_route, off_network, jumps, frozen
--          position; off_network_mi, travel_mi mile; fed_ulb, unplaced_ulb millionth of a pound;
--          first_total_lb, last_total_lb pound; resets, wraps, counter_faults reading
-- empty:   first_ and last_ of the running counter where no position has a reading
-- formula: fed_ulb is what the counter counted, else the rate times the way; unplaced_ulb the part
--          of it in no pass; noise_m: standard deviation of the positions across their routes
create or replace table crumb_traces (
    truck_id varchar not null,
    day integer not null,
    began_at timestamptz not null,
    ended_at timestamptz not null,
    points bigint not null,
    on_route bigint not null,
    off_network bigint not null,
    jumps bigint not null,
    frozen bigint not null,
    off_network_mi double not null,
    travel_mi double not null,
    fed_ulb bigint not null,
    unplaced_ulb bigint not null,
    resets bigint not null,
    wraps bigint not null,
    counter_faults bigint not null,
    first_total_at timestamptz,
    first_total_lb double,
    last_total_at timestamptz,
    last_total_lb double,
    noise_m double
);
