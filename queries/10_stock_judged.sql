-- stock_judged: each delivered row of stock with its key, and why it is set aside, if it is.
-- grain:   one row per sha256, line
-- reads:   raw_stock, files_in_force, materials
-- units:   amount_lb pound
-- empty:   fault is null on a sound row; row_key is empty on one that is not
-- formula: contracts, stock
create or replace table stock_judged as
with judged as (
    select
        files_in_force.file,
        files_in_force.file_no,
        delivered.* exclude (raw, fault_column, fault_reason, fault_remedy),
        case
            when delivered.fault_reason is not null
                then {'column': delivered.fault_column, 'reason': delivered.fault_reason,
                    'remedy': delivered.fault_remedy}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'reason': 'unknown material',
                    'remedy': 'material_id "' || delivered.material_id
                    || '" is not in reference/materials.csv; add it there, or correct the row'}
        end as fault
    from raw_stock as delivered
    inner join files_in_force
        on files_in_force.feed = 'stock' and files_in_force.sha256 = delivered.sha256
    left join materials on materials.material_id = delivered.material_id
)

select
    *,
    case
        when fault is null
            then cast(row(stockpile_id, material_id, epoch_us("at"), kind) as varchar)
    end as row_key
from judged;
