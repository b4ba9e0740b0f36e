-- passes_told: what each delivered row of passes is tonight: accepted, duplicate, correction or
--          quarantined.
-- grain:   one row per sha256, line
-- reads:   passes_judged, repeated_rows
-- units:   from_mi mile; to_mi mile; lanes lane; lane_miles lane-mile; rate_set_lb_per_lane_mi
--          pound per lane-mile; dispensed_lb pound; dispensed_gal US gallon; prewet_gal US gallon;
--          gate_in inch; speed_mph mile per hour
-- empty:   fault columns are empty on a row that is not quarantined; row_key is empty on one that
--          is
-- formula: contracts, "Order decides, not arrival"
create or replace view passes_told as
select
    judged.* exclude (fault),
    fault.column as fault_column,
    fault.code as fault_code,
    fault.found as fault_found,
    fault.wanted as fault_wanted,
    case when fault is not null then 'quarantined'
        else coalesce(repeated_rows.status, 'accepted') end as status,
    fault is null and coalesce(repeated_rows.is_in_force, true) as is_in_force
from passes_judged as judged
left join repeated_rows on repeated_rows.feed = 'passes' and repeated_rows.file_no = judged.file_no
    and repeated_rows.line = judged.line;
