-- last_passes: the passes in force when the live release was made, with their pounds and the row
--          that each came from.
-- grain:   one row per pass_key
-- reads:   -
-- units:   applied_lb, dispensed_lb pound; dispensed_gal US gallon; line line of the delivery with
--          that sha256
-- empty:   the table, while nothing is published
-- formula: -
create or replace table last_passes (
    pass_key varchar,
    season varchar,
    storm_id varchar,
    route_id varchar,
    applied_lb double,
    dispensed_lb double,
    dispensed_gal double,
    sha256 varchar,
    line bigint
);
