-- repeated_rows: rows whose key was delivered more than once: which is a duplicate, which a
--          correction, and which is in force.
-- grain:   one row per feed, file_no, line
-- reads:   rows_judged
-- units:   file_no number of the file tonight
-- empty:   a row that is set aside, or the only one of its key, has no row
-- formula: contracts, "Order decides, not arrival"; the row of the same key before it holds the
--          value in force. Weather, whose reports outrank one another, is told by observations_told
create or replace table repeated_rows as
with crowded_keys as (
    select feed, row_key
    from rows_judged
    where row_key is not null
    group by feed, row_key
    having count(*) > 1
),

crowded as (
    select * exclude (sha256, raw, fault)
    from rows_judged
    semi join crowded_keys using (feed, row_key)
),

compared as (
    select
        feed,
        file_no,
        line,
        row_key,
        row_number() over in_order as place,
        told_values is not distinct from lag(told_values) over in_order as is_same
    from (select feed, file, file_no, line, row_key,
        row(*columns(* exclude (feed, file, file_no, line, row_key))) as told_values from crowded)
    window in_order as (partition by feed, row_key order by file, line)
)

select
    feed,
    file_no,
    line,
    case when place = 1 then 'accepted' when is_same then 'duplicate'
        else 'correction' end as status,
    place = max(place) filter (where place = 1 or not is_same)
        over (partition by feed, row_key) as is_in_force
from compared;
