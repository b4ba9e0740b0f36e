-- raw_breadcrumbs: the delivered rows of breadcrumbs that cannot be used; those that can are in
--          archive/breadcrumbs/ and never here.
-- grain:   one row per sha256, line
-- reads:   -
-- units:   raw the row's bytes as delivered
-- empty:   fault_column is null where the whole row is at fault
-- formula: -
create or replace table raw_breadcrumbs (
    sha256 varchar not null,
    line bigint not null,
    raw blob not null,
    fault_column varchar,
    fault_code varchar not null,
    fault_found varchar,
    fault_wanted varchar
);
