-- watershed_seasons: chloride, the compared class (acetate_) and chloride kept off, by season.
-- grain:   one row per season, watershed
-- reads:   watershed_storms, routes
-- units:   pounds as in watershed_storms; lane_miles of the watershed's routes; oxygen_demand_lb
--          pound of oxygen: a load, not a concentration
-- empty:   chloride and acetate in place of 0 where unmeasured_passes put some down; watershed
--          where routes.csv names none; kept_off_lb, kept_off_basis, kept_off_share where no route
--          could be compared; oxygen_demand_lb where a material with pounds lacks its figure
-- formula: sums over the season's storms and outside storms; kept_off_share = kept_off_lb /
--          (kept_off_lb + chloride_lb of storms)
create or replace table watershed_seasons as
with pounds as (
    select
        season,
        storm_id,
        watershed,
        acetate_routes,
        kept_off_routes,
        kept_off_basis,
        oxygen_demand_lb,
        unmeasured_passes,
        cast(chloride_lb * 1e6 as bigint) as chloride_ulb,
        cast(acetate_lb * 1e6 as bigint) as acetate_ulb,
        cast(kept_off_lb * 1e6 as bigint) as kept_off_ulb,
        cast(oxygen_demand_lb * 1e6 as bigint) as oxygen_ulb
    from watershed_storms
),
bases as (
    select distinct season, watershed, unnest(string_split(kept_off_basis, '; ')) as basis
    from pounds
),
named as (
    select season, watershed, string_agg(basis, '; ' order by basis) as kept_off_basis
    from bases
    group by season, watershed
),
lengths as (
    select watershed, sum(cast(lane_miles * 1e6 as bigint)) as ulane_mi
    from routes
    group by watershed
),
summed as (
    select
        season,
        watershed,
        count(distinct storm_id) as storms,
        nullif(sum(chloride_ulb), case when bool_or(chloride_ulb is null) then 0 end)
            as chloride_ulb,
        coalesce(sum(chloride_ulb) filter (where storm_id is not null), 0) as storm_chloride_ulb,
        nullif(sum(acetate_ulb), case when bool_or(acetate_ulb is null) then 0 end)
            as acetate_ulb,
        case when not bool_or(storm_id is null and chloride_ulb is null)
            then coalesce(sum(chloride_ulb) filter (where storm_id is null), 0)
            end as outside_chloride_ulb,
        sum(acetate_routes) as acetate_route_storms,
        sum(kept_off_routes) as kept_off_route_storms,
        sum(kept_off_ulb) as kept_off_ulb,
        case when bool_and(oxygen_ulb is not null) then sum(oxygen_ulb) end as oxygen_ulb,
        sum(unmeasured_passes) as unmeasured_passes
    from pounds
    group by season, watershed
)
select
    summed.season,
    summed.watershed,
    summed.storms,
    lengths.ulane_mi / 1e6 as lane_miles,
    summed.chloride_ulb / 1e6 as chloride_lb,
    summed.outside_chloride_ulb / 1e6 as outside_chloride_lb,
    summed.chloride_ulb / nullif(lengths.ulane_mi, 0) as chloride_lb_per_lane_mi,
    summed.acetate_ulb / 1e6 as acetate_lb,
    cast(summed.acetate_route_storms as bigint) as acetate_route_storms,
    cast(summed.kept_off_route_storms as bigint) as kept_off_route_storms,
    summed.kept_off_ulb / 1e6 as kept_off_lb,
    summed.kept_off_ulb / nullif(summed.kept_off_ulb + summed.storm_chloride_ulb, 0)
        as kept_off_share,
    named.kept_off_basis,
    summed.oxygen_ulb / 1e6 as oxygen_demand_lb,
    cast(summed.unmeasured_passes as bigint) as unmeasured_passes
from summed
left join lengths on lengths.watershed is not distinct from summed.watershed
left join named on named.season = summed.season
    and named.watershed is not distinct from summed.watershed
order by season, watershed nulls first;
