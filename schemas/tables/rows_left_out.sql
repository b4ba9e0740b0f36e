-- rows_left_out: rows of contents that are counted and not kept: no reference table can mend
--          them, and others with the same fault are kept.
-- grain:   one row per feed, sha256, fault_code
-- reads:   -
-- units:   rows row
-- empty:   a content of which all rows are kept has no row
-- formula: -
create or replace table rows_left_out (
    feed varchar not null,
    sha256 varchar not null,
    fault_code varchar not null,
    "rows" bigint not null
);
