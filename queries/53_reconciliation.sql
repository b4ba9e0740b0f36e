-- reconciliation: does what each truck spread of each solid agree with what was weighed?
-- grain:   one row per week, truck_id, material_id
-- reads:   reconciliation_sums, materials, calibrations, run
-- units:   week the Monday of a local week; spread_lb, weighed_lb pound; ratios weighed over
--          spread; calibration_age_days day
-- empty:   spread_lb where no pass is measured; weighed_lb without a load; a ratio without pounds
--          spread or without a load; calibrated_at and calibration_age_days where the truck has no
--          calibration of that material before the week's Sunday
-- formula: definitions, "Reconciliation"; a finding of a week with set rates ends in "; by
--          settings", for a setting is no counter; the 0.06 of a wrong-material setting is the
--          definition's; all comparisons in integers
create or replace table reconciliation as
with solids as (
    select material_id, cast(round_even(bulk_density_lb_ft3 * 1e6, 0) as hugeint) as density
    from materials
    where form = 'solid' and bulk_density_lb_ft3 > 0
),
suspects as (
    select
        sums.week,
        sums.truck_id,
        sums.material_id,
        others.material_id as other_id,
        abs(cast(sums.running_weighed_ulb as hugeint) * others.density - carried.density
            * sums.running_spread_ulb)
            / cast(others.density as double) as distance_ulb
    from reconciliation_sums as sums
    cross join run
    inner join solids as carried using (material_id)
    inner join solids as others on others.material_id <> sums.material_id
    where sums.running_spread_ulb > 0
        and sums.running_tickets >= run.density_min_tickets
        and 100 * abs(cast(sums.running_weighed_ulb as hugeint) * others.density - carried.density
            * sums.running_spread_ulb)
            <= 6 * others.density * sums.running_spread_ulb
        and 100 * abs(cast(sums.running_weighed_ulb as hugeint) - sums.running_spread_ulb)
            > 6 * cast(sums.running_spread_ulb as hugeint)
),
nearest as (
    select week, truck_id, material_id, arg_min(other_id, (distance_ulb, other_id)) as other_id
    from suspects
    group by week, truck_id, material_id
),
told as (
    select
        sums.*,
        nearest.other_id,
        cast(round_even(run.reconcile_tolerance * 1e6, 0) as hugeint) as tolerance,
        run.calibration_days,
        run.time_zone,
        sums.week + 6 as sunday
    from reconciliation_sums as sums
    cross join run
    left join nearest using (week, truck_id, material_id)
),
calibrated as (
    select distinct truck_id, material_id, "at" as calibrated_at,
        cast(timezone(run.time_zone, "at") as date) as calibrated_date
    from calibrations
    cross join run
),
aged as (
    select told.*, calibrated.calibrated_at, told.sunday - calibrated.calibrated_date as age_days
    from told
    asof left join calibrated
        on calibrated.truck_id = told.truck_id and calibrated.material_id = told.material_id
        and calibrated.calibrated_at < timezone(told.time_zone, cast(told.sunday as timestamp))
)
select
    week,
    truck_id,
    material_id,
    passes,
    tickets,
    spread_ulb / 1e6 as spread_lb,
    weighed_ulb / 1e6 as weighed_lb,
    weighed_ulb / nullif(spread_ulb, 0) as ratio,
    case when running_tickets > 0
        then running_weighed_ulb / nullif(running_spread_ulb, 0) end as running_ratio,
    case
        when tickets = 0 then 'no tickets'
        when passes = 0 then 'no passes'
        when unmeasured_passes > 0 then 'incomplete'
        else concat(case
            when other_id is not null then concat('set for ', other_id, '?')
            when 1000000 * cast(running_weighed_ulb - running_largest_ulb as hugeint)
                > (1000000 + tolerance) * running_spread_ulb
                then 'more weighed'
            when 1000000 * cast(running_weighed_ulb + running_largest_ulb as hugeint)
                < (1000000 - tolerance) * running_spread_ulb
                then 'less weighed'
            else 'agrees'
        end, case when set_rate_passes > 0 then '; by settings' end)
    end as finding,
    calibrated_at,
    cast(age_days as double) as calibration_age_days,
    coalesce(age_days > calibration_days, true) as calibration_due
from aged
order by week, truck_id, material_id;
