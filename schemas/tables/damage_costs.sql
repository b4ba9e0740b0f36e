-- damage_costs: what the district assumes that a ton of a class costs elsewhere, from
--          district.toml.
-- grain:   one row per entry of district.toml
-- reads:   -
-- units:   usd_per_ton US dollar per ton of 2000 pounds
-- empty:   a district without such assumptions leaves the table without rows
-- formula: -
create or replace table damage_costs (
    name varchar not null,
    usd_per_ton double not null,
    material_class varchar not null,
    source varchar not null
);
