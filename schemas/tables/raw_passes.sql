-- raw_passes: the delivered rows of passes, as delivered and as read.
-- grain:   one row per sha256, line
-- reads:   -
-- units:   raw the row's bytes as delivered; began_at instant; ended_at instant; from_mi mile;
--          to_mi mile; lanes lane; lane_miles lane-mile; rate_set_lb_per_lane_mi pound per
--          lane-mile; dispensed_lb pound; dispensed_gal US gallon; prewet_gal US gallon; gate_in
--          inch; speed_mph mile per hour
-- empty:   a content without rows has none here; a cell that is empty or at fault is null
-- formula: -
create or replace table raw_passes (
    sha256 varchar not null,
    line bigint not null,
    raw blob not null,
    fault_column varchar,
    fault_code varchar,
    fault_found varchar,
    fault_wanted varchar,
    pass_id varchar,
    truck_id varchar,
    crew_id varchar,
    route_id varchar,
    began_at timestamptz,
    ended_at timestamptz,
    from_mi double,
    to_mi double,
    lanes double,
    lane_miles double,
    material_id varchar,
    rate_set_lb_per_lane_mi double,
    dispensed_lb double,
    dispensed_gal double,
    prewet_gal double,
    prewet_material_id varchar,
    plow_down boolean,
    purpose varchar,
    gate_in double,
    spinner_setting double,
    speed_mph double,
    note varchar
);
