-- set_aside: the passes that do not count yet, by truck and reason.
-- grain:   one row per truck_id, reason_code
-- reads:   rows_told, rows_left_out, files_in_force
-- units:   rows row; dispensed_lb pound, of the rows where it can be read; first_at, last_at
--          instant of began_at
-- empty:   no quarantined pass, no row; truck_id, dispensed_lb and the instants are empty where no
--          row of the group gives them
-- formula: pounds are summed in micro-pounds, half-even
create or replace table set_aside as
with parts as (
    select truck_id, fault_code, dispensed_lb, began_at, 1 as "rows"
    from rows_told
    where feed = 'passes' and status = 'quarantined'
    union all by name
    select rows_left_out.fault_code, rows_left_out."rows"
    from rows_left_out
    inner join files_in_force using (feed, sha256)
    where rows_left_out.feed = 'passes'
)

select
    truck_id,
    split_part(fault_code, '.', 1) as reason_code,
    cast(sum("rows") as bigint) as rows,
    sum(cast(dispensed_lb * 1e6 as bigint)) / 1e6 as dispensed_lb,
    min(began_at) as first_at,
    max(began_at) as last_at
from parts
group by truck_id, reason_code
order by truck_id, reason_code;
