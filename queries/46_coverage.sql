-- coverage: where along its route each storm's material went down, by tenths of a mile.
-- grain:   one row per storm_id, route_id, material_class, form, from_mi
-- reads:   storm_passes, pass_measures, routes
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
        pass_measures.lane_ulane_mi,
        pass_measures.applied_ulb,
        case
            when storm_passes.from_mi is null then measured_routes.from_umi
            else greatest(cast(round_even(least(storm_passes.from_mi, storm_passes.to_mi) * 1e6, 0) as bigint), measured_routes.from_umi)
        end as from_umi,
        case
            when storm_passes.from_mi is null then measured_routes.to_umi
            else least(cast(round_even(greatest(storm_passes.from_mi, storm_passes.to_mi) * 1e6, 0) as bigint), measured_routes.to_umi)
        end as to_umi
    from storm_passes
    inner join pass_measures on pass_measures.pass_key = storm_passes.pass_key
    inner join measured_routes on measured_routes.route_id = storm_passes.route_id
    where storm_passes.storm_id is not null and storm_passes.is_treating and storm_passes.is_placed
),
pieces as (
    select
        laid.storm_id,
        laid.route_id,
        laid.material_class,
        laid.form,
        tenths.from_umi,
        laid.ended_at,
        cast(round_even(laid.lane_ulane_mi / (laid.to_umi - laid.from_umi) * (least(laid.to_umi, tenths.to_umi) - greatest(laid.from_umi, tenths.from_umi)), 0) as bigint) as lane_ulane_mi,
        cast(round_even(laid.applied_ulb / (laid.to_umi - laid.from_umi) * (least(laid.to_umi, tenths.to_umi) - greatest(laid.from_umi, tenths.from_umi)), 0) as bigint) as applied_ulb
    from laid
    inner join tenths on tenths.route_id = laid.route_id and tenths.from_umi < laid.to_umi and tenths.to_umi > laid.from_umi
    where laid.from_umi < laid.to_umi
),
sums as (
    select
        storm_id,
        route_id,
        material_class,
        form,
        from_umi,
        count(*) as passes,
        sum(lane_ulane_mi) as lane_ulane_mi,
        sum(applied_ulb) as applied_ulb,
        max(ended_at) as last_treated_at
    from pieces
    group by storm_id, route_id, material_class, form, from_umi
),
wanted as (
    select distinct season, storm_id, route_id, material_class, form
    from laid
)
select
    wanted.season,
    wanted.storm_id,
    wanted.route_id,
    wanted.material_class,
    wanted.form,
    tenths.from_umi / 1e6 as from_mi,
    tenths.to_umi / 1e6 as to_mi,
    coalesce(sums.passes, 0) as passes,
    coalesce(sums.lane_ulane_mi, 0) / 1e6 as treated_lane_miles,
    coalesce(sums.lane_ulane_mi, 0) / ((tenths.to_umi - tenths.from_umi) * tenths.lanes) as applications,
    case when sums.passes is null then 0 else sums.applied_ulb / 1e6 end as applied_lb,
    sums.last_treated_at
from wanted
inner join tenths on tenths.route_id = wanted.route_id
left join sums
    on sums.storm_id = wanted.storm_id
    and sums.route_id = wanted.route_id
    and sums.material_class = wanted.material_class
    and sums.form = wanted.form
    and sums.from_umi = tenths.from_umi
order by storm_id, route_id, material_class, form, from_mi;
