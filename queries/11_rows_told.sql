-- rows_told: what each delivered row is tonight: accepted, duplicate, correction or quarantined.
-- grain:   one row per feed, sha256, line
-- reads:   rows_judged, repeated_rows, observations_told, raw_breadcrumbs, files_in_force
-- units:   as in the tables of each feed
-- empty:   fault columns and raw are empty on a row that is not quarantined; row_key is empty on
--          one that is, and of a report; of breadcrumbs only what cannot be used has a row
-- formula: contracts, "Order decides, not arrival"
create or replace view rows_told as
select
    judged.* exclude (fault),
    fault.column as fault_column,
    fault.code as fault_code,
    fault.found as fault_found,
    fault.wanted as fault_wanted,
    case when fault is not null then 'quarantined'
        else coalesce(repeated_rows.status, 'accepted') end as status,
    fault is null and coalesce(repeated_rows.is_in_force, true) as is_in_force
from rows_judged as judged
left join repeated_rows using (feed, file_no, line)
union all by name
select 'weather' as feed, * from observations_told
union all by name
select files_in_force.feed, files_in_force.file, raw.*, 'quarantined' as status,
    false as is_in_force
from raw_breadcrumbs as raw
inner join files_in_force
    on files_in_force.feed = 'breadcrumbs' and files_in_force.sha256 = raw.sha256;
