-- crumb_contents: the delivered contents of breadcrumbs whose positions are, or are on their way,
--          in archive/breadcrumbs/.
-- grain:   one row per sha256
-- reads:   -
-- units:   -
-- empty:   file, under which the content counted, is null while its positions are on their way
-- formula: -
create or replace table crumb_contents (
    sha256 varchar not null,
    file varchar
);
