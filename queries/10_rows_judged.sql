-- rows_judged: each delivered row of the feeds that are told alike, with its key, and why it is set
--          aside, if it is.
-- grain:   one row per feed, sha256, line
-- reads:   raw_conditions, raw_passes, raw_stock, raw_tickets, files_in_force, trucks, crews,
--          routes, materials
-- units:   as in the tables of each feed
-- empty:   fault and raw are null on a sound row; row_key is empty on one that is not; a column
--          that the row's feed does not have
-- formula: contracts, conditions, passes, stock, tickets
create or replace table rows_judged as
with delivered as (
    select 'conditions' as feed, * from raw_conditions
    union all by name
    select 'passes' as feed, * from raw_passes
    union all by name
    select 'stock' as feed, * from raw_stock
    union all by name
    select 'tickets' as feed, * from raw_tickets
),

judged as (
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
            when delivered.crew_id is not null and crews.crew_id is null
                then {'column': 'crew_id', 'code': 'unknown_crew',
                    'found': '"' || delivered.crew_id || '"', 'wanted': null}
            when delivered.route_id is not null and routes.route_id is null
                then {'column': 'route_id', 'code': 'unknown_route',
                    'found': '"' || delivered.route_id || '"', 'wanted': null}
            when delivered.from_mi not between least(routes.from_mi, routes.to_mi) - 0.5
                and greatest(routes.from_mi, routes.to_mi) + 0.5
                then {'column': 'from_mi', 'code': 'outside_route',
                    'found': cast(delivered.from_mi as varchar),
                    'wanted': 'route ' || delivered.route_id || ' (' || routes.from_mi || ' to '
                    || routes.to_mi || ')'}
            when delivered.to_mi not between least(routes.from_mi, routes.to_mi) - 0.5
                and greatest(routes.from_mi, routes.to_mi) + 0.5
                then {'column': 'to_mi', 'code': 'outside_route',
                    'found': cast(delivered.to_mi as varchar),
                    'wanted': 'route ' || delivered.route_id || ' (' || routes.from_mi || ' to '
                    || routes.to_mi || ')'}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'code': 'unknown_material',
                    'found': '"' || delivered.material_id || '"', 'wanted': null}
            when delivered.prewet_material_id is not null and prewet_materials.material_id is null
                then {'column': 'prewet_material_id', 'code': 'unknown_material',
                    'found': '"' || delivered.prewet_material_id || '"', 'wanted': null}
        end as fault
    from delivered
    inner join files_in_force
        on files_in_force.feed = delivered.feed and files_in_force.sha256 = delivered.sha256
    left join trucks on trucks.truck_id = delivered.truck_id
    left join crews on crews.crew_id = delivered.crew_id
    left join routes on routes.route_id = delivered.route_id
    left join materials on materials.material_id = delivered.material_id
    left join materials as prewet_materials
        on prewet_materials.material_id = delivered.prewet_material_id
)

select
    * replace (case when fault is not null then raw end as raw),
    case
        when fault is not null then null
        when feed = 'conditions' then route_id || '@' || epoch_us(observed_at)
        when feed = 'passes'
            then coalesce(
                'id:' || pass_id,
                'at:' || truck_id || '@'
                    || replace(strftime(make_timestamp(epoch_us(began_at)),
                    '%Y-%m-%dT%H:%M:%S.%fZ'), '.000000Z', 'Z')
            )
        when feed = 'stock'
            then cast(row(stockpile_id, material_id, epoch_us("at"), kind) as varchar)
        when feed = 'tickets' then ticket_id
    end as row_key
from judged;
