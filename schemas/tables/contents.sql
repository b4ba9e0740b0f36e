-- contents: what was delivered, by its bytes.
-- grain:   one row per feed, sha256
-- reads:   -
-- units:   row_count rows that the reader gave
-- empty:   fault columns are null for a content whose rows are read one by one; filled, they reject
--          it whole
-- formula: -
create or replace table contents (
    feed varchar not null,
    sha256 varchar not null,
    parse_hash varchar not null,
    header varchar not null,
    row_count bigint not null,
    unknown_columns varchar,
    fault_column varchar,
    fault_code varchar,
    fault_found varchar,
    fault_wanted varchar
);
