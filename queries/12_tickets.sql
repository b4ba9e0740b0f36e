-- tickets: the tickets in force: of each key the row that was accepted, or its latest correction.
-- grain:   one row per ticket_id
-- reads:   rows_told
-- units:   loaded_lb pound; returned_lb pound
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null
-- formula: contracts, "Order decides, not arrival"
create or replace table tickets as
select
    ticket_id, loaded_at, truck_id, stockpile_id, material_id, loaded_lb, returned_lb, file, line
from rows_told
where feed = 'tickets' and is_in_force
order by ticket_id;
