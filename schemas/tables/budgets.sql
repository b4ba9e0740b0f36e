-- budgets: what a season may spend by class of material, from district.toml.
-- grain:   one row per season, material_class
-- reads:   -
-- units:   budget_usd US dollar
-- empty:   a district without budgets leaves the table without rows
-- formula: -
create or replace table budgets (
    season varchar not null,
    material_class varchar not null,
    budget_usd double not null
);
