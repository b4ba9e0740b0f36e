-- orders: orders, as read from reference/orders.csv.
-- grain:   one row per line of the file
-- reads:   -
-- units:   from_date date
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table orders (
    from_date date not null,
    text varchar not null,
    material_class varchar,
    route_id varchar
);
