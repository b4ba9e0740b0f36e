-- material_days: what was used of each material on each local day.
-- grain:   one row per season, material_id, use_date
-- reads:   tickets, reconciliation_sums, materials, run, storm_passes
-- units:   spread_ulb, weighed_ulb, use_ulb millionth of a pound; liquids and prewet in dry pounds
-- empty:   a day without passes and loads of the material has no row; spread_ulb and weighed_ulb
--          are 0 where there are none
-- formula: definitions, "Stock outlook": weighed pounds where tickets are complete, else the pounds
--          of the passes. Complete: the truck weeks with a load hold at least 90 % of the season's
--          passes with the material
create or replace table material_days as
with told as (
    select material_id, local_date as use_date, applied_ulb as spread_ulb
    from storm_passes
    where is_treating
    union all by name
    select prewet_material_id as material_id, local_date as use_date, prewet_ulb as spread_ulb
    from storm_passes
    where prewet_ulb > 0
    union all by name
    select
        tickets.material_id,
        cast(timezone(run.time_zone, tickets.loaded_at) as date) as use_date,
        cast(tickets.loaded_lb * 1e6 as bigint)
            - cast(coalesce(tickets.returned_lb, 0) * 1e6 as bigint) as weighed_ulb
    from tickets
    cross join run
    inner join materials using (material_id)
    where materials.form = 'solid'
),
days as (
    select
        year(use_date - interval 6 month) as first_year,
        material_id,
        use_date,
        cast(coalesce(sum(spread_ulb), 0) as bigint) as spread_ulb,
        cast(coalesce(sum(weighed_ulb), 0) as bigint) as weighed_ulb
    from told
    group by material_id, use_date
),
complete as (
    select
        year(week - interval 6 month) as first_year,
        material_id,
        10 * sum(passes) filter (where tickets > 0) >= 9 * sum(passes) as is_weighed
    from reconciliation_sums
    group by first_year, material_id
)
select
    printf('%d-%02d', days.first_year, (days.first_year + 1) % 100) as season,
    days.material_id,
    days.use_date,
    days.spread_ulb,
    days.weighed_ulb,
    coalesce(complete.is_weighed, false) as is_weighed,
    case when complete.is_weighed then days.weighed_ulb else days.spread_ulb end as use_ulb
from days
left join complete using (first_year, material_id)
order by season, material_id, use_date;
