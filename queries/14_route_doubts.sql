-- route_doubts: routes that look one-way, miles beside a line, and noise that is not the setting's.
-- grain:   one row per finding_code, subject_id
-- reads:   crumb_passes, crumb_traces, routes, run
-- units:   amount in unit, other_amount in other_unit; share_pct percent
-- empty:   no row where nothing is to be doubted
-- formula: own rule. looks_one_way: 20 passes or more that count, each of over 0.3 mi, all in one
--          direction, on a route of which one_way says nothing. beside_line: at least a mile and
--          5 % of a route's miles. noise_differs: the median over traces is under half of
--          noise_m, or over 1.5 times it
create or replace table route_doubts as
with driven as (
    select
        route_id,
        max(began_at) as since_at,
        sum(cast(beside_mi * 1e6 as bigint)) / 1e6 as beside_mi,
        sum(cast(abs(to_mi - from_mi) * 1e6 as bigint)) / 1e6 as miles,
        count(*) filter (where to_mi - from_mi > 0.3) as forward,
        count(*) filter (where from_mi - to_mi > 0.3) as backward
    from crumb_passes
    where weak_code is null
    group by route_id
)

select
    'looks_one_way' as finding_code, 'route' as subject_kind, driven.route_id as subject_id,
    since_at, cast(forward + backward as double) as amount, 'count' as unit,
    cast(null as double) as other_amount, cast(null as varchar) as other_unit,
    cast(null as double) as share_pct,
    case when backward = 0 then 'increasing' else 'decreasing' end as name
from driven
inner join routes on routes.route_id = driven.route_id
where routes.one_way is null and forward + backward >= 20 and least(forward, backward) = 0
union all
select
    'beside_line', 'route', route_id, since_at, beside_mi, 'mile', null, null,
    100 * beside_mi / miles, null
from driven
where beside_mi >= 1 and beside_mi >= 0.05 * miles
union all
select
    'noise_differs', 'feed', 'breadcrumbs', max(began_at), round(median(crumb_traces.noise_m), 1),
    'metre', any_value(run.noise_m), 'metre', null, null
from crumb_traces
cross join run
having median(crumb_traces.noise_m) not between any_value(run.noise_m) / 2
    and any_value(run.noise_m) * 1.5
order by finding_code, subject_id;
