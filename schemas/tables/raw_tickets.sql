-- raw_tickets: the delivered rows of tickets, as delivered and as read.
-- grain:   one row per sha256, line
-- reads:   -
-- units:   raw the row's bytes as delivered; loaded_at instant; loaded_lb pound; returned_lb pound
-- empty:   a content without rows has none here; a cell that is empty or at fault is null
-- formula: -
create or replace table raw_tickets (
    sha256 varchar not null,
    line bigint not null,
    raw blob not null,
    fault_column varchar,
    fault_code varchar,
    fault_found varchar,
    fault_wanted varchar,
    ticket_id varchar,
    loaded_at timestamptz,
    truck_id varchar,
    stockpile_id varchar,
    material_id varchar,
    loaded_lb double,
    returned_lb double
);
