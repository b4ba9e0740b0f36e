-- tickets_told: what each delivered row of tickets is tonight: accepted, duplicate, correction or quarantined.
-- grain:   one row per sha256, line
-- reads:   raw_tickets, files_in_force, trucks, materials
-- units:   loaded_lb pound; returned_lb pound
-- empty:   fault columns are empty on a row that is not quarantined; row_key is empty on one that is
-- formula: contracts, "Order decides, not arrival"; the row of the same key before it holds the value in force
create or replace table tickets_told as
with judged as (
    select
        files_in_force.file,
        delivered.* exclude (raw, fault_column, fault_reason, fault_remedy),
        case
            when delivered.fault_reason is not null
                then {'column': delivered.fault_column, 'reason': delivered.fault_reason, 'remedy': delivered.fault_remedy}
            when delivered.truck_id is not null and trucks.truck_id is null
                then {'column': 'truck_id', 'reason': 'unknown truck', 'remedy': 'truck_id "' || delivered.truck_id || '" is not in reference/trucks.csv; add it there, or correct the row'}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'reason': 'unknown material', 'remedy': 'material_id "' || delivered.material_id || '" is not in reference/materials.csv; add it there, or correct the row'}
        end as fault
    from raw_tickets as delivered
    inner join files_in_force on files_in_force.feed = 'tickets' and files_in_force.sha256 = delivered.sha256
    left join trucks on trucks.truck_id = delivered.truck_id
    left join materials on materials.material_id = delivered.material_id
),

keyed as (
    select
        *,
        case
            when fault is null
                then ticket_id
        end as row_key,
        row(
            ticket_id,
            loaded_at,
            truck_id,
            stockpile_id,
            material_id,
            loaded_lb,
            returned_lb
        ) as told_values
    from judged
),

crowded_keys as (
    select row_key
    from keyed
    where row_key is not null
    group by row_key
    having count(*) > 1
),

compared as (
    select
        sha256,
        line,
        row_key,
        row_number() over in_order as place,
        told_values is not distinct from lag(told_values) over in_order as is_same
    from keyed
    semi join crowded_keys using (row_key)
    window in_order as (partition by row_key order by file, line)
),

settled as (
    select
        sha256,
        line,
        case when place = 1 then 'accepted' when is_same then 'duplicate' else 'correction' end as status,
        place = max(place) filter (where place = 1 or not is_same) over (partition by row_key) as is_in_force
    from compared
)

select
    keyed.* exclude (fault, told_values),
    fault.column as fault_column,
    fault.reason as fault_reason,
    fault.remedy as fault_remedy,
    case when fault is not null then 'quarantined' else coalesce(settled.status, 'accepted') end as status,
    fault is null and coalesce(settled.is_in_force, true) as is_in_force
from keyed
left join settled using (sha256, line)
order by file, line;
