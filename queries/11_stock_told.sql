-- stock_told: what each delivered row of stock is tonight: accepted, duplicate, correction or
--          quarantined.
-- grain:   one row per sha256, line
-- reads:   stock_judged, repeated_rows
-- units:   amount_lb pound
-- empty:   fault columns are empty on a row that is not quarantined; row_key is empty on one that
--          is
-- formula: contracts, "Order decides, not arrival"
create or replace view stock_told as
select
    judged.* exclude (fault),
    fault.column as fault_column,
    fault.code as fault_code,
    fault.found as fault_found,
    fault.wanted as fault_wanted,
    case when fault is not null then 'quarantined'
        else coalesce(repeated_rows.status, 'accepted') end as status,
    fault is null and coalesce(repeated_rows.is_in_force, true) as is_in_force
from stock_judged as judged
left join repeated_rows on repeated_rows.feed = 'stock' and repeated_rows.file_no = judged.file_no
    and repeated_rows.line = judged.line;
