-- passes_judged: each delivered row of passes with its key, and why it is set aside, if it is.
-- grain:   one row per sha256, line
-- reads:   raw_passes, files_in_force, trucks, crews, routes, materials
-- units:   from_mi mile; to_mi mile; lanes lane; lane_miles lane-mile; rate_set_lb_per_lane_mi
--          pound per lane-mile; dispensed_lb pound; dispensed_gal US gallon; prewet_gal US gallon;
--          gate_in inch; speed_mph mile per hour
-- empty:   fault is null on a sound row; row_key is empty on one that is not
-- formula: contracts, passes
create or replace table passes_judged as
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
            when delivered.crew_id is not null and crews.crew_id is null
                then {'column': 'crew_id', 'reason': 'unknown crew',
                    'remedy': 'crew_id "' || delivered.crew_id
                    || '" is not in reference/crews.csv; add it there, or correct the row'}
            when delivered.route_id is not null and routes.route_id is null
                then {'column': 'route_id', 'reason': 'unknown route',
                    'remedy': 'route_id "' || delivered.route_id
                    || '" is not in reference/routes.csv; add it there, or correct the row'}
            when delivered.from_mi not between least(routes.from_mi, routes.to_mi) - 0.5
                and greatest(routes.from_mi, routes.to_mi) + 0.5
                then {'column': 'from_mi', 'reason': 'outside the route',
                    'remedy': 'from_mi ' || delivered.from_mi || ' is over 0.5 mi outside route '
                    || delivered.route_id || ' (' || routes.from_mi || ' to '
                    || routes.to_mi || '); correct the row, or the route in reference/routes.csv'}
            when delivered.to_mi not between least(routes.from_mi, routes.to_mi) - 0.5
                and greatest(routes.from_mi, routes.to_mi) + 0.5
                then {'column': 'to_mi', 'reason': 'outside the route',
                    'remedy': 'to_mi ' || delivered.to_mi || ' is over 0.5 mi outside route '
                    || delivered.route_id || ' (' || routes.from_mi || ' to '
                    || routes.to_mi || '); correct the row, or the route in reference/routes.csv'}
            when delivered.material_id is not null and materials.material_id is null
                then {'column': 'material_id', 'reason': 'unknown material',
                    'remedy': 'material_id "' || delivered.material_id
                    || '" is not in reference/materials.csv; add it there, or correct the row'}
            when delivered.prewet_material_id is not null and prewet_materials.material_id is null
                then {'column': 'prewet_material_id', 'reason': 'unknown material',
                    'remedy': 'prewet_material_id "' || delivered.prewet_material_id
                    || '" is not in reference/materials.csv; add it there, or correct the row'}
        end as fault
    from raw_passes as delivered
    inner join files_in_force
        on files_in_force.feed = 'passes' and files_in_force.sha256 = delivered.sha256
    left join trucks on trucks.truck_id = delivered.truck_id
    left join crews on crews.crew_id = delivered.crew_id
    left join routes on routes.route_id = delivered.route_id
    left join materials on materials.material_id = delivered.material_id
    left join materials as prewet_materials
        on prewet_materials.material_id = delivered.prewet_material_id
)

select
    *,
    case
        when fault is null
            then coalesce(
                'id:' || pass_id,
                'at:' || truck_id || '@'
                    || replace(strftime(make_timestamp(epoch_us(began_at)),
                    '%Y-%m-%dT%H:%M:%S.%fZ'), '.000000Z', 'Z')
            )
    end as row_key
from judged;
