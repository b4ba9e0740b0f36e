-- crumb_days: on which UTC days a content has usable positions; a day that a former reading of it
--          had stays with 0.
-- grain:   one row per sha256, day
-- reads:   -
-- units:   day, from 1970-01-01; positions row
-- empty:   -
-- formula: -
create or replace table crumb_days (
    sha256 varchar not null,
    day integer not null,
    positions bigint not null
);
