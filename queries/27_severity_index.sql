-- severity_index: the severity of every combination of the six classes of a storm.
-- grain:   one row per st, ti, wi, bi, tp, wp
-- reads:   severity_classes, severity_settings
-- units:   sum_micro millionth, the sum under the root before its division by b; severity and
--          severity_storm 0 to 1
-- empty:   none
-- formula: definitions, "Storms", severity: sqrt((ST x Ti x Wi + Bi + Tp + Wp - a) / b), 0 where
--          the sum is below 0; severity_storm is the same with Tp and Wp at 0. The sum is rounded
--          to a millionth, which is exact for products of these values
create or replace table severity_index as
with summed as (
    select
        storm_types.class as st,
        temperatures.class as ti,
        winds.class as wi,
        beginnings.class as bi,
        temperatures_after.class as tp,
        winds_after.class as wp,
        settings.b,
        storm_types.value * temperatures.value * winds.value + beginnings.value
            - settings.a as storm_sum,
        temperatures_after.value + winds_after.value as after_sum
    from severity_settings as settings
    inner join severity_classes as storm_types on storm_types.factor = 'ST'
    inner join severity_classes as temperatures on temperatures.factor = 'Ti'
    inner join severity_classes as winds on winds.factor = 'Wi'
    inner join severity_classes as beginnings on beginnings.factor = 'Bi'
    inner join severity_classes as temperatures_after on temperatures_after.factor = 'Tp'
    inner join severity_classes as winds_after on winds_after.factor = 'Wp'
),
rounded as (
    select
        *,
        cast(storm_sum * 1e6 as bigint) as storm_micro,
        cast((storm_sum + after_sum) * 1e6 as bigint) as sum_micro
    from summed
)
select
    st, ti, wi, bi, tp, wp, sum_micro,
    sqrt(greatest(storm_micro, 0) / 1e6 / b) as severity_storm,
    sqrt(greatest(sum_micro, 0) / 1e6 / b) as severity
from rounded
order by st, ti, wi, bi, tp, wp;
