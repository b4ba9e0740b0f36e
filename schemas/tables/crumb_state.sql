-- crumb_state: what the positions in archive/breadcrumbs/ and the passes made of them rest on.
-- grain:   one row
-- reads:   -
-- units:   -
-- empty:   without a row the positions are read anew from what was delivered; passes_hash is null
--          until passes were made, and while they are
-- formula: -
create or replace table crumb_state (
    traces_hash varchar not null,
    passes_hash varchar
);
