-- repeated_rows: rows whose key was delivered more than once: which is a duplicate, which a
--          correction, and which is in force.
-- grain:   one row per feed, file_no, line
-- reads:   conditions_judged, passes_judged, stock_judged, tickets_judged
-- units:   file_no number of the file tonight
-- empty:   a row that is set aside, or the only one of its key, has no row
-- formula: contracts, "Order decides, not arrival"; the row of the same key before it holds the
--          value in force. Weather, whose reports outrank one another, is told by observations_told
create or replace table repeated_rows as
with all_keys as (
    select 'conditions' as feed, row_key from conditions_judged where row_key is not null
    union all
    select 'passes' as feed, row_key from passes_judged where row_key is not null
    union all
    select 'stock' as feed, row_key from stock_judged where row_key is not null
    union all
    select 'tickets' as feed, row_key from tickets_judged where row_key is not null
),

crowded_keys as (
    select feed, row_key
    from all_keys
    group by feed, row_key
    having count(*) > 1
),

crowded as (
    select 'conditions' as feed, * exclude (sha256, fault)
    from conditions_judged
    where row_key in (select row_key from crowded_keys where feed = 'conditions')
    union all by name
    select 'passes' as feed, * exclude (sha256, fault)
    from passes_judged
    where row_key in (select row_key from crowded_keys where feed = 'passes')
    union all by name
    select 'stock' as feed, * exclude (sha256, fault)
    from stock_judged
    where row_key in (select row_key from crowded_keys where feed = 'stock')
    union all by name
    select 'tickets' as feed, * exclude (sha256, fault)
    from tickets_judged
    where row_key in (select row_key from crowded_keys where feed = 'tickets')
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
