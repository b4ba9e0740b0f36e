-- stock: the stock in force: of each key the row that was accepted, or its latest correction.
-- grain:   one row per stockpile_id, material_id, at, kind
-- reads:   rows_told
-- units:   amount_lb pound
-- empty:   a key whose rows are all quarantined has no row; an empty cell is null
-- formula: contracts, "Order decides, not arrival"
create or replace table stock as
select
    stockpile_id, material_id, "at", kind, amount_lb, file, line
from rows_told
where feed = 'stock' and is_in_force
order by stockpile_id, material_id, "at", kind;
