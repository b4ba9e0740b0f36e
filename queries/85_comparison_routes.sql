-- comparison_routes: what each route of the comparison got of its own class's solids in each closed
--          storm, and why it is left out.
-- grain:   one row per storm_id, route_id
-- reads:   storms, routes, pairs, assignments, judged_treatments, storm_passes, silent_storms,
--          conditions, regains, run
-- units:   _ulb millionth of a pound; _ulane_mi millionth of a lane-mile; cost_uusd millionth of a
--          dollar; regain_us microsecond, capped
-- empty:   open storms have no row, nor has a route without a pair in a zone that has pairs;
--          route_class without an assignment; left_out where the route counts; applied_ulb where
--          no pass is measured; cost_uusd where a price is missing; regain_us and
--          is_bare_in_cap unless treated with reports
-- formula: definitions, "Comparison": the first reason that holds; shares compared as whole
--          millionths, so that the margin itself stays in; unmeasured by the passes of the
--          route's own class
create or replace table comparison_routes as
with closed as (
    select
        *,
        cast(strptime(regexp_extract(storm_id, '-(\d{8})[a-z]*$', 1), '%Y%m%d') as date)
            as storm_date
    from storms
    where not is_open
),
paired as (
    select acetate_route_id as route_id from pairs
    union
    select chloride_route_id as route_id from pairs
),
paired_zones as (
    select distinct routes.zone_id
    from paired
    inner join routes on routes.route_id = paired.route_id
),
pool as (
    select routes.route_id, routes.zone_id,
        cast(routes.lane_miles * 1e6 as bigint) as route_ulane_mi
    from routes
    left join paired on paired.route_id = routes.route_id
    left join paired_zones on paired_zones.zone_id = routes.zone_id
    where paired.route_id is not null or paired_zones.zone_id is null
),
classed as (
    select
        closed.*, pool.route_id, pool.route_ulane_mi,
        assignments.material_class as route_class,
        assignments.crew_id
    from closed
    inner join pool on pool.zone_id = closed.zone_id
    left join assignments
        on assignments.route_id = pool.route_id
        and closed.storm_date >= assignments.from_date
        and closed.storm_date <= coalesce(assignments.to_date, closed.storm_date)
),
visited as (
    select distinct storm_id, route_id
    from storm_passes
    where storm_id is not null
),
worked as (
    select distinct storm_id, crew_id
    from storm_passes
    where storm_id is not null and is_treating
),
reported as (
    select distinct closed.storm_id, closed.zone_id, conditions.route_id
    from closed
    cross join run
    inner join conditions
        on epoch_us(conditions.observed_at) >= epoch_us(closed.began_at)
        and epoch_us(conditions.observed_at) <= epoch_us(closed.ended_at)
            + cast(run.cleanup_h * 3600000000 as bigint)
)
select
    classed.season, classed.storm_id, classed.zone_id, classed.run_began_at,
    classed.route_id,
    classed.route_class,
    classed.route_ulane_mi,
    case when own.storm_id is null then 0 else own.applied_ulb end as applied_ulb,
    case when own.storm_id is null then 0 else own.unplaced_ulb end as unplaced_ulb,
    coalesce(own.measured_ulane_mi, 0) as measured_ulane_mi,
    coalesce(own.treated_ulane_mi, 0) as treated_ulane_mi,
    case when own.storm_id is null then 0 else own.cost_uusd end as cost_uusd,
    coalesce(own.treating_passes, 0) as treating_passes,
    regains.regain_state,
    case when own.storm_id is not null
        then cast(regains.capped_regain_h * 3.6e9 as bigint) end as regain_us,
    case when own.storm_id is not null then regains.is_bare_in_cap end as is_bare_in_cap,
    case
        when classed.route_class is null then 'no class'
        when classed.route_class not in (run.compare, run.beside) then 'neither class'
        when cast(other.applied_ulb as hugeint) * 1000000
            > (other.applied_ulb + coalesce(own.applied_ulb, 0))
                * cast(round_even(run.mixed_share * 1e6, 0) as hugeint) then 'mixed'
        when cast(own.unmeasured_passes as hugeint) * 1000000 > own.treating_passes
                * cast(round_even(run.unmeasured_share * 1e6, 0) as hugeint)
            or own.storm_id is not null and own.applied_ulb is null then 'unmeasured'
        when silent.storm_id is not null or visited.route_id is null
            and reported.route_id is null and worked.crew_id is null then 'no record'
    end as left_out
from classed
cross join run
left join judged_treatments as own
    on own.storm_id = classed.storm_id and own.route_id = classed.route_id
        and own.material_class = classed.route_class
left join judged_treatments as other
    on other.storm_id = classed.storm_id and other.route_id = classed.route_id
        and other.material_class <> classed.route_class
left join silent_storms as silent
    on silent.storm_id = classed.storm_id and silent.zone_id = classed.zone_id
left join visited on visited.storm_id = classed.storm_id and visited.route_id = classed.route_id
left join reported
    on reported.storm_id = classed.storm_id and reported.zone_id = classed.zone_id
        and reported.route_id = classed.route_id
left join worked on worked.storm_id = classed.storm_id and worked.crew_id = classed.crew_id
left join regains on regains.storm_id = classed.storm_id and regains.route_id = classed.route_id
order by storm_id, route_id;
