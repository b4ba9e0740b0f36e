-- coverage: where along its route each storm's material went down, by tenths of a mile.
-- grain:   one row per storm_id, route_id, material_class, form, from_mi
-- reads:   storm_passes, routes
-- units:   from_mi, to_mi route mile; passes pass; treated_lane_miles lane-mile; applications times over all lanes of the stretch; applied_lb pound
-- empty:   no rows for a route without miles; a stretch that no pass reached has 0 and no last_treated_at; applied_lb where no pass that
--          reached the stretch is measured
-- formula: a pass is spread evenly over its miles; one without miles over the whole route where its lane-miles are known; applications =
--          treated lane-miles of the stretch / (its length x route lane-miles / route length). Each share is rounded half-even to a millionth
create or replace table coverage as
with measured_routes as (
    select
        route_id,
        cast(round_even(least(from_mi, to_mi) * 1e6, 0) as bigint) as from_umi,
        cast(round_even(greatest(from_mi, to_mi) * 1e6, 0) as bigint) as to_umi,
        cast(round_even(lane_miles * 1e6, 0) as bigint) as lane_umi
    from routes
    where from_mi <> to_mi
),
tenths as (
    select
        route_id,
        tenth,
        lane_umi / (to_umi - from_umi) as lanes,
        greatest(tenth * 100000, from_umi) as from_umi,
        least((tenth + 1) * 100000, to_umi) as to_umi
    from (
        select *, unnest(range(cast(floor(from_umi / 100000) as bigint), cast(ceil(to_umi / 100000) as bigint))) as tenth
        from measured_routes
    )
),
laid as (
    select
        storm_passes.season,
        storm_passes.storm_id,
        storm_passes.route_id,
        storm_passes.material_class,
        storm_passes.form,
        storm_passes.ended_at,
        storm_passes.lane_ulane_mi,
        storm_passes.applied_ulb,
        case when storm_passes.from_mi is null then measured_routes.from_umi else greatest(cast(round_even(least(storm_passes.from_mi, storm_passes.to_mi) * 1e6, 0) as bigint), measured_routes.from_umi) end as from_umi,
        case when storm_passes.from_mi is null then measured_routes.to_umi else least(cast(round_even(greatest(storm_passes.from_mi, storm_passes.to_mi) * 1e6, 0) as bigint), measured_routes.to_umi) end as to_umi
    from storm_passes
    inner join measured_routes on measured_routes.route_id = storm_passes.route_id
    where storm_passes.storm_id is not null and storm_passes.is_treating and storm_passes.is_placed
),
wanted as (
    select *, row_number() over (order by storm_id, route_id, material_class, form) as no
    from (select distinct season, storm_id, route_id, material_class, form from laid)
),
shared as (
    select
        wanted.no,
        laid.from_umi,
        laid.to_umi,
        laid.ended_at,
        laid.lane_ulane_mi / (laid.to_umi - laid.from_umi) as lane_share,
        laid.applied_ulb / (laid.to_umi - laid.from_umi) as applied_share,
        cast(ceil(laid.from_umi / 100000) as bigint) as first_whole,
        cast(floor(laid.to_umi / 100000) as bigint) as behind_whole
    from laid
    inner join wanted
        on wanted.storm_id = laid.storm_id and wanted.route_id = laid.route_id
        and wanted.material_class = laid.material_class and wanted.form = laid.form
    where laid.from_umi < laid.to_umi
),
alike as (
    select
        no,
        first_whole,
        behind_whole,
        count(*) as passes,
        sum(cast(round_even(lane_share * 100000, 0) as bigint)) as lane_ulane_mi,
        sum(cast(round_even(applied_share * 100000, 0) as bigint)) as applied_ulb,
        max(ended_at) as ended_at
    from shared
    where first_whole < behind_whole
    group by no, first_whole, behind_whole
),
cut as (
    select *, least(to_umi, (tenth + 1) * 100000) - greatest(from_umi, tenth * 100000) as piece_umi
    from (
        select *, unnest(list_distinct([cast(floor(from_umi / 100000) as bigint), cast(ceil(to_umi / 100000) as bigint) - 1])) as tenth
        from shared
    )
    where tenth < first_whole or tenth >= behind_whole
),
pieces as (
    select no, unnest(range(first_whole, behind_whole)) as tenth, passes, lane_ulane_mi, applied_ulb, ended_at
    from alike
    union all
    select no, tenth, 1, cast(round_even(lane_share * piece_umi, 0) as bigint), cast(round_even(applied_share * piece_umi, 0) as bigint), ended_at
    from cut
),
sums as (
    select
        no,
        tenth,
        cast(sum(passes) as bigint) as passes,
        sum(lane_ulane_mi) as lane_ulane_mi,
        sum(applied_ulb) as applied_ulb,
        max(ended_at) as last_treated_at
    from pieces
    group by no, tenth
)
select
    wanted.* exclude (no),
    tenths.from_umi / 1e6 as from_mi,
    tenths.to_umi / 1e6 as to_mi,
    coalesce(sums.passes, 0) as passes,
    coalesce(sums.lane_ulane_mi, 0) / 1e6 as treated_lane_miles,
    coalesce(sums.lane_ulane_mi, 0) / ((tenths.to_umi - tenths.from_umi) * tenths.lanes) as applications,
    case when sums.passes is null then 0 else sums.applied_ulb / 1e6 end as applied_lb,
    sums.last_treated_at
from wanted
inner join tenths on tenths.route_id = wanted.route_id
left join sums on sums.no = wanted.no and sums.tenth = tenths.tenth;
