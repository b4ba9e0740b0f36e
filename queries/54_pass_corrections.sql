-- pass_corrections: the pounds of every treating pass of a solid, scaled by what was weighed.
-- grain:   one row per pass_no
-- reads:   tickets, reconciliation_sums, storm_passes
-- units:   week the Monday of a local week; factor weighed over spread; corrected_ulb millionth of
--          a pound; corrected_lb pound
-- empty:   ticket_id where no load of that truck and material came before the pass; factor and
--          corrected pounds where the tickets cover less than 90 % of the truck's passes with the
--          material in the week, where the weeks of the factor have no load or a pass of unknown
--          pounds, and where their pounds are less than half of their largest load, so that one
--          load left over would decide
-- formula: a ticket covers its truck's passes with that material from loaded_at to its next
--          loaded_at; where tickets cover at least 90 % of a truck's passes in the week, weighed
--          over spread scales them: that of the reconcile_weeks weeks that end with it, as in the
--          running ratio, since a load left over in the box moves a single week's ratio by a third.
--          Exports keep the pounds as reported
create or replace table pass_corrections as
with treating as (
    select
        pass_no,
        truck_id,
        material_id,
        began_at,
        cast(date_trunc('week', local_date) as date) as week,
        applied_ulb
    from storm_passes
    where is_treating and form = 'solid'
),
loads as (
    select truck_id, material_id, loaded_at, min(ticket_id) as ticket_id
    from tickets
    group by truck_id, material_id, loaded_at
),
covered as (
    select treating.*, loads.ticket_id
    from treating
    asof left join loads
        on loads.truck_id = treating.truck_id and loads.material_id = treating.material_id
        and loads.loaded_at <= treating.began_at
),
shares as (
    select week, truck_id, material_id, count(*) as passes, count(ticket_id) as covered_passes
    from covered
    group by week, truck_id, material_id
),
factors as (
    select
        shares.week,
        shares.truck_id,
        shares.material_id,
        sums.running_weighed_ulb / nullif(sums.running_spread_ulb, 0) as factor
    from shares
    inner join reconciliation_sums as sums using (week, truck_id, material_id)
    where 10 * shares.covered_passes >= 9 * shares.passes and sums.running_unmeasured_passes = 0
        and 2 * sums.running_spread_ulb >= sums.running_largest_ulb
)
select
    covered.pass_no,
    covered.week,
    covered.ticket_id,
    covered.ticket_id is not null as is_covered,
    factors.factor,
    cast(covered.applied_ulb * factors.factor as bigint) as corrected_ulb,
    corrected_ulb / 1e6 as corrected_lb
from covered
left join factors using (week, truck_id, material_id);
