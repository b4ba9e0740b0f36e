-- position_findings: what a person should look at in vehicle positions.
-- grain:   one row per finding_code, subject_kind, subject_id, since_at, name, other_from_at
-- reads:   crumb_traces, position_trucks, routes, route_lines, sheet_differences, weak_passes,
--          route_doubts
-- units:   amount in unit, other_amount in other_unit; share_pct percent; instants, UTC
-- empty:   what the words of the code have no place for; no rows while no positions were delivered
-- formula: own rule: positions without any drawn route, a route without a line, pounds on weak
--          passes, more than 5 % of a truck's pounds of a season on no pass, each difference
--          between a pass sheet and positions, and doubts about routes
create or replace table position_findings as
with seen as (
    select min(began_at) as since_at, sum(points) as points
    from crumb_traces
    having count(*) > 0
),

undrawn as (
    select
        'no_route_lines' as finding_code, 'feed' as subject_kind, 'breadcrumbs' as subject_id,
            since_at,
        cast(points as double) as amount, 'count' as unit
    from seen
    where not exists (select 1 from route_lines)
),

half_drawn as (
    select 'route_without_line' as finding_code, 'route' as subject_kind,
        routes.route_id as subject_id, seen.since_at
    from routes
    cross join seen
    anti join route_lines using (route_id)
    where exists (select 1 from route_lines)
),

weak as (
    select
        'weak_passes' as finding_code, 'truck' as subject_kind, truck_id as subject_id,
            max(began_at) as since_at,
        sum(cast(dispensed_lb * 1e6 as bigint)) / 1e6 as amount, 'pound' as unit,
        cast(count(*) as double) as other_amount, 'count' as other_unit, season as name
    from weak_passes
    where route_id is not null and dispensed_lb > 0
    group by truck_id, season
),

unplaced as (
    select
        'pounds_off_routes' as finding_code, 'truck' as subject_kind, truck_id as subject_id,
            unplaced_since_at as since_at,
        unplaced_lb as amount, 'pound' as unit, 100 * unplaced_lb / fed_lb as share_pct,
            season as name
    from position_trucks
    where unplaced_lb > 0.05 * fed_lb
),

differing as (
    select
        * exclude (pass_key, truck_id, began_at), 'pass' as subject_kind, pass_key as subject_id,
            began_at as since_at
    from sheet_differences
)

select * from undrawn
union all by name select * from half_drawn
union all by name select * from weak
union all by name select * from unplaced
union all by name select * from differing
union all by name select * from route_doubts
order by finding_code, subject_kind, subject_id, since_at, name, other_from_at;
