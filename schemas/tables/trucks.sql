-- trucks: trucks, as read from reference/trucks.csv.
-- grain:   one row per truck_id
-- reads:   -
-- units:   capacity_ft3 cubic foot
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table trucks (
    truck_id varchar not null,
    capacity_ft3 double
);
