-- reconciliation_sums: what each truck spread and weighed of each solid, in a week and over the
--          weeks that end with it.
-- grain:   one row per week, truck_id, material_id
-- reads:   ticket_weeks, run, storm_passes
-- units:   _ulb millionth of a pound; passes, tickets numbers; running_ over the reconcile_weeks
--          weeks that end with this one
-- empty:   spread_ulb where no pass is measured; weighed_ulb without a load; running_largest_ulb
--          without a load in those weeks
-- formula: definitions, "Reconciliation"
create or replace table reconciliation_sums as
with spread as (
    select
        cast(date_trunc('week', local_date) as date) as week,
        truck_id,
        material_id,
        count(*) as passes,
        count(*) filter (where not is_measured) as unmeasured_passes,
        count(*) filter (where is_by_set_rate) as set_rate_passes,
        sum(applied_ulb) as spread_ulb
    from storm_passes
    where is_treating and form = 'solid'
    group by 1, 2, 3
),
weighed as (
    select
        week,
        truck_id,
        material_id,
        count(*) as tickets,
        sum(weighed_ulb) as weighed_ulb,
        max(loaded_ulb) as largest_ulb
    from ticket_weeks
    group by week, truck_id, material_id
),
weeks as (
    select
        week,
        truck_id,
        material_id,
        coalesce(spread.passes, 0) as passes,
        coalesce(spread.unmeasured_passes, 0) as unmeasured_passes,
        coalesce(spread.set_rate_passes, 0) as set_rate_passes,
        coalesce(weighed.tickets, 0) as tickets,
        cast(spread.spread_ulb as bigint) as spread_ulb,
        cast(weighed.weighed_ulb as bigint) as weighed_ulb,
        weighed.largest_ulb
    from spread
    full join weighed using (week, truck_id, material_id)
)
select
    weeks.*,
    cast(sum(weeks.tickets) over so_far as bigint) as running_tickets,
    cast(sum(weeks.unmeasured_passes) over so_far as bigint) as running_unmeasured_passes,
    cast(coalesce(sum(weeks.spread_ulb) over so_far, 0) as bigint) as running_spread_ulb,
    cast(coalesce(sum(weeks.weighed_ulb) over so_far, 0) as bigint) as running_weighed_ulb,
    max(weeks.largest_ulb) over so_far as running_largest_ulb
from weeks
cross join run
window so_far as (
    partition by weeks.truck_id, weeks.material_id
    order by weeks.week
    range between to_days(cast(7 * (run.reconcile_weeks - 1) as integer)) preceding and current row
)
order by week, truck_id, material_id;
