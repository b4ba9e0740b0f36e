-- calibrations: calibrations, as read from reference/calibrations.csv.
-- grain:   one row per truck_id, material_id, at, gate_in, speed_mph
-- reads:   -
-- units:   at instant; gate_in inch; measured_lb_per_mile pound per mile; speed_mph mile per hour
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table calibrations (
    truck_id varchar not null,
    material_id varchar not null,
    "at" timestamptz not null,
    gate_in double not null,
    measured_lb_per_mile double not null,
    speed_mph double not null
);
