-- position_findings: what a person should look at in vehicle positions.
-- grain:   one row per kind, subject_kind, subject_id, since_at, detail
-- reads:   crumb_traces, position_trucks, routes, route_lines, sheet_differences, weak_passes
-- units:   amount, in the unit that detail names
-- empty:   amount where detail names no unit; no rows while no positions were delivered
-- formula: own rule: positions without any drawn route, a route without a line, pounds on weak passes, more than 5 % of a truck's pounds of a season on no
--          pass, and each difference between a pass sheet and positions
create or replace table position_findings as
with seen as (
    select min(began_at) as since_at, sum(points) as points
    from crumb_traces
    having count(*) > 0
),

undrawn as (
    select 'no route lines' as kind, 'feed' as subject_kind, 'breadcrumbs' as subject_id, since_at, cast(points as double) as amount,
        'positions are kept and no pass is made of them: reference/route_lines.geojson draws no route' as detail
    from seen
    where not exists (select 1 from route_lines)
),

half_drawn as (
    select 'route without line' as kind, 'route' as subject_kind, routes.route_id as subject_id, seen.since_at, cast(null as double) as amount,
        'positions cannot be matched to it: draw it in reference/route_lines.geojson' as detail
    from routes
    cross join seen
    anti join route_lines on route_lines.route_id = routes.route_id
    where exists (select 1 from route_lines)
),

weak as (
    select 'weak passes' as kind, 'truck' as subject_kind, truck_id as subject_id, max(began_at) as since_at,
        sum(cast(dispensed_lb * 1e6 as bigint)) / 1e6 as amount,
        concat('lb on ', count(*), if(count(*) = 1, ' pass', ' passes'), ' of ', season, ' made of positions that are not certain enough to count: see weak_passes') as detail
    from weak_passes
    where route_id is not null and dispensed_lb > 0
    group by truck_id, season
),

unplaced as (
    select 'pounds off the routes' as kind, 'truck' as subject_kind, truck_id as subject_id, unplaced_since_at as since_at, unplaced_lb as amount,
        printf('lb of %s, %.0f %% of what the truck put out, went out on no pass: a route without a line, a counter that runs in the yard, hours without positions?',
            season, 100 * unplaced_lb / fed_lb) as detail
    from position_trucks
    where unplaced_lb > 0.05 * fed_lb
),

differing as (
    select 'sheet and positions differ' as kind, 'pass' as subject_kind, pass_key as subject_id, began_at as since_at, cast(null as double) as amount,
        what || ': ' || detail as detail
    from sheet_differences
)

select * from undrawn
union all
select * from half_drawn
union all
select * from weak
union all
select * from unplaced
union all
select * from differing
order by kind, subject_kind, subject_id, since_at, detail;
