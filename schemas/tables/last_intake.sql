-- last_intake: the delivered files that the live release was made of.
-- grain:   one row per feed, file
-- reads:   -
-- units:   rows_read, duplicates, corrections, quarantined row
-- empty:   the table, while nothing is published
-- formula: -
create or replace table last_intake (
    feed varchar,
    file varchar,
    sha256 varchar,
    rows_read bigint,
    duplicates bigint,
    corrections bigint,
    quarantined bigint
);
