-- conditions: the conditions in force: of each key the row that was accepted, or its latest correction.
-- grain:   one row per route_id, observed_at
-- reads:   conditions_told
-- units:   
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null
-- formula: contracts, "Order decides, not arrival"
create or replace table conditions as
select
    route_id,
    observed_at,
    cover,
    friction,
    file,
    line
from conditions_told
where status in ('accepted', 'correction')
qualify row_number() over (partition by row_key order by file desc, line desc) = 1
order by route_id, observed_at;
