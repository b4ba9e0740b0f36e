-- pairs: pairs, as read from reference/pairs.csv.
-- grain:   one row per acetate_route_id, chloride_route_id
-- reads:   -
-- units:   -
-- empty:   an absent file leaves the table without rows
-- formula: -
create or replace table pairs (
    acetate_route_id varchar not null,
    chloride_route_id varchar not null
);
