-- page_season: each storm's rates by material class, over all routes that got solids of that class.
-- grain:   one row per season, storm_id, material_class
-- reads:   treatments, storm_routes, storms
-- units:   rates pound per lane-mile; applied_lb pound; regain_h hour; temperatures degree
--          Fahrenheit; routes and not_bare numbers
-- empty:   regain_h where no route has the state bare; a rate without a denominator; temperatures
--          that no zone has
-- formula: ratios of sums; storm_lb_per_lane_mi over the routes with known pounds; regain_h and
--          air_f_mean weighed by route lane-miles
create or replace table page_season as
with solids as (
    select
        treatments.*,
        storm_routes.regain_state,
        cast(storm_routes.regain_h * 3.6e9 as bigint) as regain_us,
        storms.began_at,
        storms.is_open,
        cast(storms.air_f_mean * 1e6 as bigint) as air_uf,
        storms.surface_f_min
    from treatments
    inner join storm_routes
        on storm_routes.storm_id = treatments.storm_id
            and storm_routes.route_id = treatments.route_id
        and storm_routes.material_class = treatments.material_class
            and storm_routes.form = treatments.form
    inner join storms
        on storms.storm_id = treatments.storm_id and storms.zone_id = treatments.zone_id
    where treatments.form = 'solid'
)
select
    season,
    storm_id,
    material_class,
    min(began_at) as began_at,
    bool_or(is_open) as is_open,
    (sum(applied_ulb) - sum(unplaced_ulb))
        / nullif(sum(measured_ulane_mi), 0) as rate_lb_per_lane_mi,
    sum(applied_ulb) / nullif(sum(route_ulane_mi) filter (where applied_ulb is not null), 0)
        as storm_lb_per_lane_mi,
    sum(treated_ulane_mi) / nullif(sum(route_ulane_mi), 0) as applications,
    sum(applied_ulb) / 1e6 as applied_lb,
    count(*) as routes,
    sum(cast(regain_us as hugeint) * route_ulane_mi)
        / nullif(sum(route_ulane_mi) filter (where regain_us is not null), 0) / 3.6e9 as regain_h,
    count(*) filter (where regain_state = 'not bare') as not_bare,
    sum(cast(air_uf as hugeint) * route_ulane_mi)
        / nullif(sum(route_ulane_mi) filter (where air_uf is not null), 0) / 1e6 as air_f_mean,
    min(surface_f_min) as surface_f_min
from solids
group by season, storm_id, material_class
order by season, storm_id, material_class;
