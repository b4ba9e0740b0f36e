-- material_classes: classes of material, as read from reference/material_classes.csv.
-- grain:   one row per class
-- reads:   -
-- units:   -
-- empty:   never: an absent file, and one without rows, stand for acetate, chloride and abrasive
-- formula: -
create or replace table material_classes (
    class varchar not null,
    compared boolean not null
);
