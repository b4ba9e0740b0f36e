-- tickets_judged: each delivered row of tickets with its key, and why it is set aside, if it is.
-- grain:   one row per sha256, line
-- reads:   raw_tickets, files_in_force, trucks, materials
-- units:   loaded_lb pound; returned_lb pound
-- empty:   fault and raw are null on a sound row; row_key is empty on one that is not
-- formula: contracts, tickets
create or replace table tickets_judged as
with judged as (
    select
        files_in_force.file,
        files_in_force.file_no,
        delivered.* exclude (fault_column, fault_code, fault_found, fault_wanted),
        case
            when delivered.fault_code is not null
                then {'column': delivered.fault_column, 'code': delivered.fault_code,
                    'found': delivered.fault_found, 'wanted': delivered.fault_wanted}
            when delivered.truck_id is not null and trucks.truck_id is null
                then {'column': 'truck_id', 'code': 'unknown_truck',
                    'found': '"' || delivered.truck_id || '"', 'wanted': null}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'code': 'unknown_material',
                    'found': '"' || delivered.material_id || '"', 'wanted': null}
        end as fault
    from raw_tickets as delivered
    inner join files_in_force
        on files_in_force.feed = 'tickets' and files_in_force.sha256 = delivered.sha256
    left join trucks on trucks.truck_id = delivered.truck_id
    left join materials on materials.material_id = delivered.material_id
)

select
    * replace (case when fault is not null then raw end as raw),
    case
        when fault is null
            then ticket_id
    end as row_key
from judged;
