-- tallies: what solids came to, by storm, season, third, zone, route, watershed and crew.
-- grain:   one row per part, season, storm_id, zone_id, watershed, route_id, crew_id,
--          material_class
-- reads:   solids, crew_storms, run
-- units:   rates and storm_lb_per_lane_mi pound per lane-mile; applied_lb pound; applications
--          full-route equivalents; regain_h hour, capped; temperatures degree Fahrenheit; began_at
--          instant, UTC; storms, route_storms, bare and not_bare (within the cap), regain_open and
--          weighed numbers
-- empty:   the columns by which a part does not part; watershed where routes.csv names none;
--          applied_lb where no pounds are known; regain_h where no route-storm has reports; a rate
--          without a denominator; temperatures that no zone has; a part without solids has no row
-- formula: ratios of sums; storm_lb_per_lane_mi over the route-storms with known pounds; regain_h
--          and air_f_mean weighed by route lane-miles; weighed_rate and reported_rate both over the
--          weighed route-storms, those whose every pass weighed loads cover. A crew's part holds
--          the routes that it treated in the season's storms, whoever treated them
create or replace table tallies as
with parts as (
    select *
    from (values
        ('storm', 'all', ['storm', 'class']),
        ('storm and zone', 'all', ['storm', 'zone', 'class']),
        ('storm and watershed', 'all', ['storm', 'watershed']),
        ('season', 'closed', ['class']),
        ('season to date', 'to date', ['class']),
        ('first third', 'first', ['class']),
        ('latest third', 'latest', ['class']),
        ('season and watershed', 'all', ['watershed']),
        ('route', 'closed', ['route', 'class']),
        ('route to date', 'to date', ['route', 'class']),
        ('roads of a route', 'compared', ['route']),
        ('roads of a crew', 'compared', ['crew'])
    ) as named(part, holds, keys)
),
crew_routes as (
    select distinct season, crew_id, route_id
    from crew_storms
),
parted as (
    select
        parts.part,
        case when list_contains(parts.keys, 'storm') then solids.storm_id end as part_storm_id,
        case when list_contains(parts.keys, 'zone') then solids.zone_id end as part_zone_id,
        case when list_contains(parts.keys, 'watershed') then watershed end as part_watershed,
        case when list_contains(parts.keys, 'route') then solids.route_id end as part_route_id,
        case when list_contains(parts.keys, 'class') then material_class end as part_class,
        crew_routes.crew_id,
        solids.*
    from solids
    cross join parts
    cross join run
    left join crew_routes
        on list_contains(parts.keys, 'crew')
        and crew_routes.season = solids.season and crew_routes.route_id = solids.route_id
    where not (list_contains(parts.keys, 'crew') and crew_routes.crew_id is null)
        and case parts.holds
            when 'all' then true
            when 'closed' then solids.is_closed
            when 'to date' then solids.is_closed and solids.is_to_date
            when 'compared' then solids.is_closed
                and solids.material_class in (run.compare, run.beside)
            else coalesce(solids.third = parts.holds, false)
        end
)
select
    part,
    season,
    part_storm_id as storm_id,
    part_zone_id as zone_id,
    part_watershed as watershed,
    part_route_id as route_id,
    crew_id,
    part_class as material_class,
    min(began_at) as began_at,
    bool_or(is_open) as is_open,
    count(distinct parted.storm_id) as storms,
    count(*) as route_storms,
    sum(applied_ulb) / 1e6 as applied_lb,
    (sum(applied_ulb) - sum(unplaced_ulb))
        / nullif(sum(measured_ulane_mi), 0) as rate_lb_per_lane_mi,
    sum(applied_ulb) / nullif(sum(route_ulane_mi) filter (where applied_ulb is not null), 0)
        as storm_lb_per_lane_mi,
    sum(treated_ulane_mi) / nullif(sum(route_ulane_mi), 0) as applications,
    sum(cast(regain_us as hugeint) * route_ulane_mi)
        / nullif(sum(route_ulane_mi) filter (where regain_us is not null), 0) / 3.6e9 as regain_h,
    count(*) filter (where is_bare_in_cap) as bare,
    count(*) filter (where not is_bare_in_cap) as not_bare,
    count(*) filter (where regain_state = 'open') as regain_open,
    sum(cast(air_uf as hugeint) * route_ulane_mi)
        / nullif(sum(route_ulane_mi) filter (where air_uf is not null), 0) / 1e6 as air_f_mean,
    min(surface_f_min) as surface_f_min,
    count(weighed_placed_ulb) as weighed,
    sum(weighed_placed_ulb)
        / nullif(sum(measured_ulane_mi) filter (where weighed_placed_ulb is not null), 0)
        as weighed_rate_lb_per_lane_mi,
    sum(applied_ulb - unplaced_ulb) filter (where weighed_placed_ulb is not null)
        / nullif(sum(measured_ulane_mi) filter (where weighed_placed_ulb is not null), 0)
        as reported_rate_lb_per_lane_mi
from parted
group by
    part, season, part_storm_id, part_zone_id, part_watershed, part_route_id, crew_id, part_class
order by
    part, season, storm_id, zone_id nulls first, watershed nulls first, route_id, crew_id,
    material_class;
