-- declared_storms: declared storms, as read from reference/storms.csv.
-- grain:   one row per zone_id, began_at
-- reads:   -
-- units:   began_at instant; ended_at instant
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table declared_storms (
    zone_id varchar not null,
    began_at timestamptz not null,
    ended_at timestamptz not null,
    name varchar
);
