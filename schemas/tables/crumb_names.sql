-- crumb_names: the trucks, materials and crews that the sound rows of a content name, and whether
--          reference/ knew them when it was read.
-- grain:   one row per sha256, column_name, name
-- reads:   -
-- units:   -
-- empty:   -
-- formula: a content is read again from the archive when what reference/ knows has changed for one
--          of its names
create or replace table crumb_names (
    sha256 varchar not null,
    column_name varchar not null,
    name varchar not null,
    is_known boolean not null
);
