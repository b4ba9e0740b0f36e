-- file_stamps: what the file system said of deliveries when their bytes were last read whole.
-- grain:   one row per feed, file
-- reads:   -
-- units:   size byte; modified_ns, changed_ns nanosecond since 1970
-- empty:   a file that was changed shortly before it was read has no row
-- formula: a file with the same stamp has the same bytes: the system sets the time of change, no
--          program can set it back
create or replace table file_stamps (
    feed varchar not null,
    file varchar not null,
    sha256 varchar not null,
    size bigint not null,
    modified_ns bigint not null,
    changed_ns bigint not null,
    inode bigint not null
);
