-- crumb_passes: the passes made of positions, weak ones too.
-- grain:   one row per truck_id, first_at, first_no
-- reads:   -
-- units:   day UTC day on which the trace began, from 1970-01-01; from_mi, to_mi, beside_mi mile,
--          the first two in the direction of travel; lanes lane; dispensed_ulb millionth of a
--          pound; points position; matched_share, confidence share of 1
-- empty:   lanes and crew_id where no position gave them; material_id of a pass that only plowed;
--          dispensed_ulb where no position told pounds; weak_code of a pass that counts
-- formula: first_at is the time of the pass's first position, first_no 1 unless a weak pass began
--          with that position too; sha256 and line are that position's; beside_mi: of its miles
--          those farther beside the line than noise_m explains
create or replace table crumb_passes (
    truck_id varchar not null,
    day integer not null,
    trace_ended_at timestamptz not null,
    first_at timestamptz not null,
    first_no bigint not null,
    sha256 varchar not null,
    line bigint not null,
    route_id varchar not null,
    began_at timestamptz not null,
    ended_at timestamptz not null,
    from_mi double not null,
    to_mi double not null,
    lanes double,
    is_treating boolean not null,
    material_id varchar,
    crew_id varchar,
    plow_down boolean,
    dispensed_ulb bigint,
    basis varchar not null,
    points bigint not null,
    matched_share double not null,
    confidence double not null,
    weak_code varchar,
    beside_mi double not null
);
