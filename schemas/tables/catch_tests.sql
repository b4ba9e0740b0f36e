-- catch_tests: catch tests, as read from reference/catch_tests.csv.
-- grain:   one row per line of the file
-- reads:   -
-- units:   at instant; gate_in inch; caught_lb pound; seconds second; revolutions revolution;
--          rev_per_min revolution per minute; speed_mph mile per hour
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table catch_tests (
    truck_id varchar not null,
    material_id varchar not null,
    "at" timestamptz not null,
    gate_in double not null,
    caught_lb double not null,
    seconds double,
    revolutions double,
    rev_per_min double,
    speed_mph double
);
