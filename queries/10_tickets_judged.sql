-- tickets_judged: each delivered row of tickets with its key, and why it is set aside, if it is.
-- grain:   one row per sha256, line
-- reads:   raw_tickets, files_in_force, trucks, materials
-- units:   loaded_lb pound; returned_lb pound
-- empty:   fault is null on a sound row; row_key is empty on one that is not
-- formula: contracts, tickets
create or replace table tickets_judged as
with judged as (
    select
        files_in_force.file,
        files_in_force.file_no,
        delivered.* exclude (raw, fault_column, fault_reason, fault_remedy),
        case
            when delivered.fault_reason is not null
                then {'column': delivered.fault_column, 'reason': delivered.fault_reason,
                    'remedy': delivered.fault_remedy}
            when delivered.truck_id is not null and trucks.truck_id is null
                then {'column': 'truck_id', 'reason': 'unknown truck',
                    'remedy': 'truck_id "' || delivered.truck_id
                    || '" is not in reference/trucks.csv; add it there, or correct the row'}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'reason': 'unknown material',
                    'remedy': 'material_id "' || delivered.material_id
                    || '" is not in reference/materials.csv; add it there, or correct the row'}
        end as fault
    from raw_tickets as delivered
    inner join files_in_force
        on files_in_force.feed = 'tickets' and files_in_force.sha256 = delivered.sha256
    left join trucks on trucks.truck_id = delivered.truck_id
    left join materials on materials.material_id = delivered.material_id
)

select
    *,
    case
        when fault is null
            then ticket_id
    end as row_key
from judged;
