-- conditions_judged: each delivered row of conditions with its key, and why it is set aside, if it
--          is.
-- grain:   one row per sha256, line
-- reads:   raw_conditions, files_in_force, routes
-- units:   -
-- empty:   fault and raw are null on a sound row; row_key is empty on one that is not
-- formula: contracts, conditions
create or replace table conditions_judged as
with judged as (
    select
        files_in_force.file,
        files_in_force.file_no,
        delivered.* exclude (fault_column, fault_code, fault_found, fault_wanted),
        case
            when delivered.fault_code is not null
                then {'column': delivered.fault_column, 'code': delivered.fault_code,
                    'found': delivered.fault_found, 'wanted': delivered.fault_wanted}
            when delivered.route_id is not null and routes.route_id is null
                then {'column': 'route_id', 'code': 'unknown_route',
                    'found': '"' || delivered.route_id || '"', 'wanted': null}
        end as fault
    from raw_conditions as delivered
    inner join files_in_force
        on files_in_force.feed = 'conditions' and files_in_force.sha256 = delivered.sha256
    left join routes on routes.route_id = delivered.route_id
)

select
    * replace (case when fault is not null then raw end as raw),
    case
        when fault is null
            then route_id || '@' || epoch_us(observed_at)
    end as row_key
from judged;
