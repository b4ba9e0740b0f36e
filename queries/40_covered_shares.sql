-- covered_shares: which share of a route its treating passes reached, however often.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   storm_passes
-- units:   covered_share, a share from 0 to 1
-- empty:   where a treating pass gave lane_miles without miles, or the route has no miles
-- formula: definitions, covered_share: the union of the intervals over the route's length; a spot
--          covers nothing, a pass without miles and without lane_miles the whole route
create or replace table covered_shares as
with stretches as (
    select
        storm_passes.storm_id,
        storm_passes.route_id,
        storm_passes.material_class,
        storm_passes.form,
        nullif(storm_passes.route_umi, 0) as route_umi,
        storm_passes.is_unlocated as is_lost,
        case
            when storm_passes.from_mi is null then 0
            else cast(least(storm_passes.from_mi, storm_passes.to_mi) * 1e6 as bigint)
        end as from_umi,
        case
            when storm_passes.from_mi is null then storm_passes.route_umi
            else cast(greatest(storm_passes.from_mi, storm_passes.to_mi) * 1e6 as bigint)
        end as to_umi,
        storm_passes.from_mi is null as is_whole
    from storm_passes
    where storm_passes.storm_id is not null and storm_passes.is_treating
),
ahead as (
    select
        *,
        max(to_umi) over (
            partition by storm_id, route_id, material_class, form
            order by from_umi, to_umi
            rows between unbounded preceding and 1 preceding
        ) as reached_umi
    from stretches
    where not is_whole
),
unions as (
    select
        storm_id,
        route_id,
        material_class,
        form,
        sum(greatest(to_umi - greatest(from_umi, coalesce(reached_umi, from_umi)), 0))
            as covered_umi
    from ahead
    group by storm_id, route_id, material_class, form
),
rows_wanted as (
    select
        storm_id,
        route_id,
        material_class,
        form,
        any_value(route_umi) as route_umi,
        bool_or(is_lost) as is_lost,
        bool_or(is_whole) as is_whole
    from stretches
    group by storm_id, route_id, material_class, form
)
select
    rows_wanted.storm_id,
    rows_wanted.route_id,
    rows_wanted.material_class,
    rows_wanted.form,
    case
        when rows_wanted.is_lost or rows_wanted.route_umi is null then null
        when rows_wanted.is_whole then 1.0
        else least(unions.covered_umi / rows_wanted.route_umi, 1.0)
    end as covered_share
from rows_wanted
left join unions using (storm_id, route_id, material_class, form)
order by storm_id, route_id, material_class, form;
