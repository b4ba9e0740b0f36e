-- stock_judged: each delivered row of stock with its key, and why it is set aside, if it is.
-- grain:   one row per sha256, line
-- reads:   raw_stock, files_in_force, materials
-- units:   amount_lb pound
-- empty:   fault and raw are null on a sound row; row_key is empty on one that is not
-- formula: contracts, stock
create or replace table stock_judged as
with judged as (
    select
        files_in_force.file,
        files_in_force.file_no,
        delivered.* exclude (fault_column, fault_code, fault_found, fault_wanted),
        case
            when delivered.fault_code is not null
                then {'column': delivered.fault_column, 'code': delivered.fault_code,
                    'found': delivered.fault_found, 'wanted': delivered.fault_wanted}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'code': 'unknown_material',
                    'found': '"' || delivered.material_id || '"', 'wanted': null}
        end as fault
    from raw_stock as delivered
    inner join files_in_force
        on files_in_force.feed = 'stock' and files_in_force.sha256 = delivered.sha256
    left join materials on materials.material_id = delivered.material_id
)

select
    * replace (case when fault is not null then raw end as raw),
    case
        when fault is null
            then cast(row(stockpile_id, material_id, epoch_us("at"), kind) as varchar)
    end as row_key
from judged;
