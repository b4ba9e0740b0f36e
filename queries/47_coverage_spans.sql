-- coverage_spans: neighbouring stretches of coverage that were treated alike, as the strip of a route's page draws them.
-- grain:   one row per storm_id, route_id, material_class, form, from_mi
-- reads:   coverage
-- units:   from_mi, to_mi route mile; passes pass; applications times over all lanes of the stretch; applied_lb pound
-- empty:   applied_lb where no pass that reached the span is measured; last_treated_at where none reached it; state where nothing stands out
-- formula: alike: as many passes, the same last one, the same applications to a thousandth. missed: no pass reached it while others were
--          reached. doubled: at least 1.8 times the applications of the middle one (median) of the route's reached tenths in the storm
create or replace table coverage_spans as
with compared as (
    select
        *,
        cast(round_even(applications * 1000, 0) as bigint) as thousandths,
        median(case when passes > 0 then cast(round_even(applications * 1000, 0) as bigint) end)
            over (partition by storm_id, route_id, material_class, form) as usual_thousandths
    from coverage
),
marked as (
    select
        *,
        row_number() over (partition by storm_id, route_id, material_class, form order by from_mi)
            - row_number() over (partition by storm_id, route_id, material_class, form, passes, thousandths, last_treated_at order by from_mi)
            as span
    from compared
)
select
    any_value(season) as season,
    storm_id,
    route_id,
    material_class,
    form,
    min(from_mi) as from_mi,
    max(to_mi) as to_mi,
    passes,
    thousandths / 1000 as applications,
    sum(cast(round_even(applied_lb * 1e6, 0) as bigint)) / 1e6 as applied_lb,
    last_treated_at,
    case
        when passes = 0 then 'missed'
        when 10 * thousandths >= 18 * any_value(usual_thousandths) then 'doubled'
    end as state
from marked
group by storm_id, route_id, material_class, form, passes, thousandths, last_treated_at, span
order by storm_id, route_id, material_class, form, from_mi;
