-- ticket_weeks: the week that each weighed load of a solid belongs to.
-- grain:   one row per ticket_id
-- reads:   tickets, materials, run, storm_passes
-- units:   week the Monday of a local week; loaded_ulb, weighed_ulb millionth of a pound
-- empty:   a load of a liquid has no row; next_pass_at where the truck has made no later pass with
--          that material
-- formula: definitions, "Reconciliation": the week of the truck's next treating pass with that
--          material that begins at the load or later; a load that no pass has followed yet stands
--          in the week in which it was loaded
create or replace table ticket_weeks as
with treating as (
    select truck_id, material_id, began_at
    from storm_passes
    where is_treating
),
followed as (
    select tickets.*, treating.began_at as next_pass_at
    from tickets
    inner join materials using (material_id)
    asof left join treating
        on treating.truck_id = tickets.truck_id and treating.material_id = tickets.material_id
        and treating.began_at >= tickets.loaded_at
    where materials.form = 'solid'
)
select
    followed.ticket_id,
    followed.truck_id,
    followed.material_id,
    followed.loaded_at,
    followed.next_pass_at,
    cast(date_trunc('week', timezone(
        run.time_zone, coalesce(followed.next_pass_at, followed.loaded_at))) as date) as week,
    cast(followed.loaded_lb * 1e6 as bigint) as loaded_ulb,
    loaded_ulb - cast(coalesce(followed.returned_lb, 0) * 1e6 as bigint) as weighed_ulb
from followed
cross join run
order by ticket_id;
