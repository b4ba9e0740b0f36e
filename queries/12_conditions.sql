-- conditions: the conditions in force: of each key the row that was accepted, or its latest
--          correction.
-- grain:   one row per route_id, observed_at
-- reads:   rows_told
-- units:   friction a coefficient, 0 to 1
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null
-- formula: contracts, "Order decides, not arrival"
create or replace table conditions as
select
    route_id, observed_at, cover, friction, file, line
from rows_told
where feed = 'conditions' and is_in_force
order by route_id, observed_at;
