-- assignments: assignments, as read from reference/assignments.csv.
-- grain:   one row per route_id, from_date
-- reads:   -
-- units:   from_date date; to_date date
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table assignments (
    route_id varchar not null,
    from_date date not null,
    to_date date,
    material_class varchar not null,
    crew_id varchar
);
