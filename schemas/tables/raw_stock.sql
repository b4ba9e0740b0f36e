-- raw_stock: the delivered rows of stock, as delivered and as read.
-- grain:   one row per sha256, line
-- reads:   -
-- units:   raw the row's bytes as delivered; at instant; amount_lb pound
-- empty:   a content without rows has none here; a cell that is empty or at fault is null
-- formula: -
create or replace table raw_stock (
    sha256 varchar not null,
    line bigint not null,
    raw blob not null,
    fault_column varchar,
    fault_code varchar,
    fault_found varchar,
    fault_wanted varchar,
    stockpile_id varchar,
    material_id varchar,
    "at" timestamptz,
    kind varchar,
    amount_lb double
);
