-- tickets_told: what each delivered row of tickets is tonight: accepted, duplicate, correction or
--          quarantined.
-- grain:   one row per sha256, line
-- reads:   tickets_judged, repeated_rows
-- units:   loaded_lb pound; returned_lb pound
-- empty:   fault columns are empty on a row that is not quarantined; row_key is empty on one that
--          is
-- formula: contracts, "Order decides, not arrival"
create or replace view tickets_told as
select
    judged.* exclude (fault),
    fault.column as fault_column,
    fault.code as fault_code,
    fault.found as fault_found,
    fault.wanted as fault_wanted,
    case when fault is not null then 'quarantined'
        else coalesce(repeated_rows.status, 'accepted') end as status,
    fault is null and coalesce(repeated_rows.is_in_force, true) as is_in_force
from tickets_judged as judged
left join repeated_rows on repeated_rows.feed = 'tickets' and repeated_rows.file_no = judged.file_no
    and repeated_rows.line = judged.line;
