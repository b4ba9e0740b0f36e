-- files_in_force: the file at which each delivered content counts; the same bytes under several
--          names count once.
-- grain:   one row per feed, sha256
-- reads:   delivery_files
-- units:   file_no a number, from 1
-- empty:   a file whose bytes could never be read has no row
-- formula: contracts, "Order decides, not arrival"
create or replace table files_in_force as
select
    feed,
    sha256,
    min(file) as file,
    row_number() over (order by feed, min(file)) as file_no
from delivery_files
where sha256 is not null
group by feed, sha256
order by feed, file;
