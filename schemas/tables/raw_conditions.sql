-- raw_conditions: the delivered rows of conditions, as delivered and as read.
-- grain:   one row per sha256, line
-- reads:   -
-- units:   raw the row's bytes as delivered; observed_at instant
-- empty:   a content without rows has none here; a cell that is empty or at fault is null
-- formula: -
create or replace table raw_conditions (
    sha256 varchar not null,
    line bigint not null,
    raw blob not null,
    fault_column varchar,
    fault_code varchar,
    fault_found varchar,
    fault_wanted varchar,
    route_id varchar,
    observed_at timestamptz,
    cover varchar,
    friction double
);
