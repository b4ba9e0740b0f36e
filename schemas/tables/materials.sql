-- materials: materials, as read from reference/materials.csv.
-- grain:   one row per material_id
-- reads:   -
-- units:   bulk_density_lb_ft3 pound per cubic foot; dry_lb_per_gal pound per US gallon;
--          chloride_fraction pound per pound; lowest_working_f degree Fahrenheit;
--          oxygen_demand_lb_per_lb pound per pound
-- empty:   a file without rows leaves the table without rows
-- formula: -
create or replace table materials (
    material_id varchar not null,
    name varchar not null,
    class varchar not null,
    form varchar not null,
    bulk_density_lb_ft3 double,
    dry_lb_per_gal double,
    chloride_fraction double,
    lowest_working_f double,
    oxygen_demand_lb_per_lb double,
    source varchar
);
