-- coverage_spans: neighbouring stretches of coverage that were treated alike, as the strip of a
--          route's page draws them.
-- grain:   one row per storm_id, route_id, material_class, form, from_mi
-- reads:   coverage_tenths, coverage_strips
-- units:   from_mi, to_mi route mile; passes pass; applications times over all lanes of the
--          stretch; applied_lb pound
-- empty:   applied_lb where no pass that reached the span is measured; last_treated_at where none
--          reached it; state where nothing stands out
-- formula: alike: as many passes, the same last one, the same applications to a thousandth. missed:
--          no pass reached it while others were reached. doubled: at least 1.8 times the
--          applications of the middle one (median) of the route's reached tenths in the storm
create or replace table coverage_spans as
with tenths as (
    select * exclude (treated_lane_miles, applications),
        cast(applications * 1000 as bigint) as thousandths
    from coverage_tenths
),
usual as (
    select strip_no, median(thousandths) filter (where passes > 0) as usual_thousandths
    from tenths
    group by strip_no
),
opened as (
    select
        *,
        case
            when passes <> lag(passes) over in_order
                or thousandths <> lag(thousandths) over in_order
                or last_treated_at <> lag(last_treated_at) over in_order
                or lag(passes) over in_order is null
                then from_mi
        end as opened_mi
    from tenths
    window in_order as (partition by strip_no order by from_mi)
),
spans as (
    select *, max(opened_mi)
        over (partition by strip_no order by from_mi rows unbounded preceding) as span_from_mi
    from opened
),
told as (
    select
        strip_no,
        span_from_mi as from_mi,
        max(to_mi) as to_mi,
        any_value(passes) as passes,
        any_value(thousandths) as thousandths,
        sum(cast(applied_lb * 1e6 as bigint)) / 1e6 as applied_lb,
        any_value(last_treated_at) as last_treated_at
    from spans
    group by strip_no, span_from_mi
)
select
    coverage_strips.* exclude (strip_no),
    told.from_mi,
    told.to_mi,
    told.passes,
    told.thousandths / 1000 as applications,
    told.applied_lb,
    told.last_treated_at,
    case
        when told.passes = 0 then 'missed'
        when 10 * told.thousandths >= 18 * usual.usual_thousandths then 'doubled'
    end as state
from told
inner join coverage_strips using (strip_no)
inner join usual using (strip_no)
order by told.strip_no, told.from_mi;
