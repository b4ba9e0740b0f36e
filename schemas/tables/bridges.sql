-- bridges: bridges, as read from reference/bridges.csv.
-- grain:   one row per route_id, from_mi
-- reads:   -
-- units:   from_mi, to_mi route mile
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table bridges (
    route_id varchar not null,
    from_mi double not null,
    to_mi double not null,
    name varchar
);
