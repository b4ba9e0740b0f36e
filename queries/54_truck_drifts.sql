-- truck_drifts: trucks whose weighed loads part from what they count, long before weeks show it.
-- grain:   one row per subject_id, name
-- reads:   ticket_weeks, storm_passes, reconciliation, calibrations, run
-- units:   amount, other_amount pounds weighed over pounds spread before the split and from it on;
--          from_at, to_at the first load judged and the first after the split, also since_at,
--          instants
-- empty:   a truck and material without such a split has no row
-- formula: definitions, "Early drift of a truck": loads since the last calibration or week of a
--          wrong setting; S spread from a load to the next one, W weighed, L the largest load; of
--          the splits with S0 >= 6 L, S1 >= 4 L and |r| - 2.6 se > 0.02 the one with the largest
--          |r| / se. Loads of weeks that reconciliation finds incomplete or without passes tell
--          nothing, nor do those of set rates: a setting is no counter
create or replace table truck_drifts as
with fresh_from as (
    select truck_id, material_id, max(from_at) as from_at
    from (
        select truck_id, material_id, "at" as from_at
        from calibrations
        union all
        select reconciliation.truck_id, reconciliation.material_id,
            timezone(run.time_zone, cast(reconciliation.week + 7 as timestamp)) as from_at
        from reconciliation
        cross join run
        where starts_with(reconciliation.finding, 'set for ')
    )
    group by truck_id, material_id
),
loads as (
    select ticket_weeks.truck_id, ticket_weeks.material_id, ticket_weeks.week,
        ticket_weeks.loaded_at,
        sum(ticket_weeks.weighed_ulb) as weighed_ulb,
        max(ticket_weeks.loaded_ulb) as loaded_ulb
    from ticket_weeks
    left join fresh_from using (truck_id, material_id)
    where ticket_weeks.loaded_at >= coalesce(fresh_from.from_at, ticket_weeks.loaded_at)
    group by all
),
carried as (
    select loads.truck_id, loads.material_id, loads.loaded_at,
        sum(storm_passes.applied_ulb) as spread_ulb
    from storm_passes
    asof inner join loads
        on loads.truck_id = storm_passes.truck_id and loads.material_id = storm_passes.material_id
        and loads.loaded_at <= storm_passes.began_at
    where storm_passes.is_treating
    group by loads.truck_id, loads.material_id, loads.loaded_at
),
told as (
    select loads.truck_id, loads.material_id, loads.loaded_at, loads.loaded_ulb,
        loads.weighed_ulb, coalesce(carried.spread_ulb, 0) as spread_ulb
    from loads
    inner join reconciliation using (truck_id, material_id, week)
    left join carried using (truck_id, material_id, loaded_at)
    where reconciliation.finding not in ('no passes', 'incomplete')
        and not contains(reconciliation.finding, 'by settings')
),
split as (
    select
        truck_id, material_id, loaded_at,
        first_value(loaded_at) over before as from_at,
        max(loaded_ulb) over truck as largest_ulb,
        sum(weighed_ulb) over before as weighed_0,
        sum(spread_ulb) over before as spread_0,
        sum(weighed_ulb) over truck - weighed_0 as weighed_1,
        sum(spread_ulb) over truck - spread_0 as spread_1
    from told
    window truck as (partition by truck_id, material_id),
        before as (partition by truck_id, material_id order by loaded_at
            rows between unbounded preceding and 1 preceding)
),
measured as (
    select
        *,
        ln(weighed_1 / spread_1) - ln(weighed_0 / spread_0) as r,
        0.6 * largest_ulb
            * sqrt(1 / pow(cast(spread_0 as double), 2) + 1 / pow(cast(spread_1 as double), 2))
            as se
    from split
    where spread_0 >= 6 * largest_ulb and spread_1 >= 4 * largest_ulb
        and weighed_0 > 0 and weighed_1 > 0
)
select
    'truck_drifts' as finding_code,
    'truck' as subject_kind,
    truck_id as subject_id,
    loaded_at as since_at,
    weighed_0 / spread_0 as amount,
    'ratio' as unit,
    weighed_1 / spread_1 as other_amount,
    'ratio' as other_unit,
    material_id as name,
    from_at,
    loaded_at as to_at
from measured
where abs(r) - 2.6 * se > 0.02
qualify row_number() over (partition by truck_id, material_id
    order by abs(r) / se desc, loaded_at) = 1
order by subject_id, name;
