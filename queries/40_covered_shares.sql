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
        storm_passes.storm_id, storm_passes.route_id, storm_passes.material_class,
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
)
select
    storm_id, route_id, material_class, form,
    case
        when bool_or(is_lost) or any_value(route_umi) is null then null
        when bool_or(is_whole) then 1.0
        else least(sum(greatest(to_umi - greatest(from_umi, coalesce(reached_umi, from_umi)), 0))
            / any_value(route_umi), 1.0)
    end as covered_share
from ahead
group by storm_id, route_id, material_class, form
order by storm_id, route_id, material_class, form;
