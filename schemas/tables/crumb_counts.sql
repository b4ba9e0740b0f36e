-- crumb_counts: what became of the usable positions of a content in the traces of a UTC day.
-- grain:   one row per sha256, day
-- reads:   -
-- units:   day, from 1970-01-01; accepted, duplicates, corrections row
-- empty:   -
-- formula: contracts, "Order decides, not arrival"
create or replace table crumb_counts (
    sha256 varchar not null,
    day integer not null,
    accepted bigint not null,
    duplicates bigint not null,
    corrections bigint not null
);
