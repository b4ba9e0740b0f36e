-- prices: prices, as read from reference/prices.csv.
-- grain:   one row per material_id, from_date
-- reads:   -
-- units:   from_date date; usd_per_ton dollar per short ton
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table prices (
    material_id varchar not null,
    from_date date not null,
    usd_per_ton double not null
);
