-- coverage_tenths: where along its route each storm's material went down, by tenths of a mile.
-- grain:   one row per strip_no, from_mi
-- reads:   routes, storm_passes, coverage_strips
-- units:   from_mi, to_mi route mile; passes pass; treated_lane_miles lane-mile; applications times
--          over all lanes of the stretch; applied_lb pound
-- empty:   a stretch that no pass reached has 0 and no last_treated_at; applied_lb where no pass
--          that reached the stretch is measured
-- formula: a pass is spread evenly over its miles within the route; one without miles over the
--          whole route where its lane-miles are known; one without length, or wholly beyond the
--          route's end, is in the nearest stretch; applications = treated lane-miles of the stretch
--          / (its length x route lane-miles / route length). Each share is rounded half-even to a
--          millionth
create or replace table coverage_tenths as
with measured_routes as (
    select
        route_id,
        cast(least(from_mi, to_mi) * 1e6 as bigint) as from_umi,
        cast(greatest(from_mi, to_mi) * 1e6 as bigint) as to_umi,
        cast(lane_miles * 1e6 as bigint) as lane_umi
    from routes
    where from_mi <> to_mi
),
tenths as (
    select
        route_id, tenth,
        lane_umi / (to_umi - from_umi) as lanes,
        greatest(tenth * 100000, from_umi) as from_umi,
        least((tenth + 1) * 100000, to_umi) as to_umi
    from (
        select *, unnest(range(cast(floor(from_umi / 100000) as bigint),
            cast(ceil(to_umi / 100000) as bigint))) as tenth
        from measured_routes
    )
),
laid as (
    select
        coverage_strips.strip_no, storm_passes.ended_at,
        storm_passes.lane_ulane_mi, storm_passes.applied_ulb,
        measured_routes.to_umi as route_to_umi,
        case when storm_passes.from_mi is null then measured_routes.from_umi
            else greatest(cast(least(storm_passes.from_mi, storm_passes.to_mi) * 1e6 as bigint),
            measured_routes.from_umi) end as from_umi,
        case when storm_passes.from_mi is null then measured_routes.to_umi
            else least(cast(greatest(storm_passes.from_mi, storm_passes.to_mi) * 1e6 as bigint),
            measured_routes.to_umi) end as to_umi
    from storm_passes
    inner join coverage_strips using (storm_id, route_id, material_class, form)
    inner join measured_routes using (route_id)
    where storm_passes.is_treating and storm_passes.is_placed
),
shared as (
    select
        strip_no, from_umi, to_umi, ended_at,
        lane_ulane_mi / (to_umi - from_umi) as lane_share,
        applied_ulb / (to_umi - from_umi) as applied_share,
        cast(ceil(from_umi / 100000) as bigint) as first_whole,
        cast(floor(to_umi / 100000) as bigint) as behind_whole
    from laid
    where from_umi < to_umi
),
alike as (
    select
        strip_no, first_whole, behind_whole, count(*) as passes,
        sum(cast(lane_share * 100000 as bigint)) as lane_ulane_mi,
        sum(cast(applied_share * 100000 as bigint)) as applied_ulb,
        max(ended_at) as ended_at
    from shared
    where first_whole < behind_whole
    group by strip_no, first_whole, behind_whole
),
cut as (
    select *, least(to_umi, (tenth + 1) * 100000) - greatest(from_umi, tenth * 100000) as piece_umi
    from (
        select *, unnest(list_distinct(
            [cast(floor(from_umi / 100000) as bigint), cast(ceil(to_umi / 100000) as bigint) - 1]))
            as tenth
        from shared
    )
    where tenth < first_whole or tenth >= behind_whole
),
pieces as (
    select strip_no, unnest(range(first_whole, behind_whole)) as tenth, passes, lane_ulane_mi,
        applied_ulb, ended_at
    from alike
    union all
    select strip_no, cast(floor(least(from_umi, route_to_umi - 1) / 100000) as bigint), 1,
        lane_ulane_mi, applied_ulb, ended_at
    from laid
    where from_umi >= to_umi
    union all
    select strip_no, tenth, 1, cast(lane_share * piece_umi as bigint),
        cast(applied_share * piece_umi as bigint), ended_at
    from cut
),
sums as (
    select
        strip_no, tenth,
        cast(sum(passes) as bigint) as passes,
        sum(lane_ulane_mi) as lane_ulane_mi,
        sum(applied_ulb) as applied_ulb,
        max(ended_at) as last_treated_at
    from pieces
    group by strip_no, tenth
)
select
    coverage_strips.strip_no, tenths.from_umi / 1e6 as from_mi,
    tenths.to_umi / 1e6 as to_mi,
    coalesce(sums.passes, 0) as passes,
    coalesce(sums.lane_ulane_mi, 0) / 1e6 as treated_lane_miles,
    coalesce(sums.lane_ulane_mi, 0)
        / ((tenths.to_umi - tenths.from_umi) * tenths.lanes) as applications,
    case when sums.passes is null then 0 else sums.applied_ulb / 1e6 end as applied_lb,
    sums.last_treated_at
from coverage_strips
inner join tenths using (route_id)
left join sums on sums.strip_no = coverage_strips.strip_no and sums.tenth = tenths.tenth;
