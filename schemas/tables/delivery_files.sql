-- delivery_files: the files that were delivered, and what holds of each.
-- grain:   one row per feed, file
-- reads:   -
-- units:   unreadable_rows row
-- empty:   sha256 is null while nothing of that name could be read; unreadable columns are null
--          while its latest bytes can be read, and unreadable_rows is 0 where they do not tell
-- formula: -
create or replace table delivery_files (
    feed varchar not null,
    file varchar not null,
    sha256 varchar,
    unreadable_sha256 varchar,
    unreadable_code varchar,
    unreadable_found varchar,
    unreadable_rows bigint
);
