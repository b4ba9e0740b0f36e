-- last_night: what tonight is held against.
-- grain:   one row
-- reads:   -
-- units:   -
-- empty:   release is empty while nothing is published; changed_reference where no reference table
--          changed since
-- formula: -
create or replace table last_night (
    release varchar,
    changed_reference varchar
);
