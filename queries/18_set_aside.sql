-- set_aside: the passes that do not count yet, by truck and reason.
-- grain:   one row per truck_id, reason_code
-- reads:   passes_told
-- units:   rows row; dispensed_lb pound, of the rows where it can be read; first_at, last_at
--          instant of began_at
-- empty:   no quarantined pass, no row; truck_id, dispensed_lb and the instants are empty where no
--          row of the group gives them
-- formula: pounds are summed in micro-pounds, half-even
create or replace table set_aside as
select
    truck_id,
    split_part(fault_code, '.', 1) as reason_code,
    count(*) as rows,
    sum(cast(dispensed_lb * 1e6 as bigint)) / 1e6 as dispensed_lb,
    min(began_at) as first_at,
    max(began_at) as last_at
from passes_told
where status = 'quarantined'
group by truck_id, reason_code
order by truck_id, reason_code;
