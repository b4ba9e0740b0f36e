-- growing_files: the files that changed while they were read, the last time that they were.
-- grain:   one row per feed, file
-- reads:   -
-- units:   nights night in a row
-- empty:   a file that was at rest has no row
-- formula: -
create or replace table growing_files (
    feed varchar not null,
    file varchar not null,
    nights bigint not null
);
