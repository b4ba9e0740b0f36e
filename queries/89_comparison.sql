-- comparison: the compared class's routes (acetate_) beside the other's (chloride_).
-- grain:   one row per season, storm_id, zone_id
-- reads:   comparison_classes, comparison_zones, comparison_routes, season_verdicts, run
-- units:   rates and _storm_lb pound per lane-mile; _applications full-route equivalents; _h hour;
--          ratios acetate_ over chloride_
-- empty:   storm_id and zone_id on season rows, storm_ratio there; everything from storms on
--          elsewhere; values of a class without routes or a denominator; a ratio where either side
--          is 0 or missing, or where a class lost over a tenth of its lane-miles
-- formula: definitions, "Comparison": sums over sums, divided last; a season sums its compared
--          rows, and counts what all its rows left out
create or replace table comparison as
with sums as (
    select comparison_classes.* exclude (run_began_at, loses_too_much)
    from comparison_classes
    union all by name
    select
        comparison_classes.season,
        cast(null as varchar) as storm_id,
        cast(null as varchar) as zone_id,
        comparison_classes.material_class,
        sum(comparison_classes.applied_ulb) as applied_ulb,
        sum(comparison_classes.unplaced_ulb) as unplaced_ulb,
        sum(comparison_classes.measured_ulane_mi) as measured_ulane_mi,
        sum(comparison_classes.treated_ulane_mi) as treated_ulane_mi,
        sum(comparison_classes.route_ulane_mi) as route_ulane_mi,
        case when not bool_or(comparison_classes.cost_uusd is null)
            then sum(comparison_classes.cost_uusd) end as cost_uusd,
        sum(comparison_classes.regain_sum) as regain_sum,
        sum(comparison_classes.bare_ulane_mi) as bare_ulane_mi
    from comparison_classes
    inner join comparison_zones using (storm_id, zone_id)
    where comparison_zones.is_compared
    group by comparison_classes.season, comparison_classes.material_class
),
sides as (
    select
        season,
        storm_id,
        zone_id,
        material_class,
        routes,
        (applied_ulb - unplaced_ulb) / nullif(measured_ulane_mi, 0) as rate,
        applied_ulb / nullif(route_ulane_mi, 0) as storm_lb,
        treated_ulane_mi / nullif(route_ulane_mi, 0) as applications,
        cost_uusd / nullif(route_ulane_mi, 0) as cost_usd,
        regain_sum / nullif(bare_ulane_mi, 0) / 3.6e9 as regain_h
    from sums
),
season_routes as (
    select
        comparison_routes.season,
        count(distinct comparison_routes.route_id)
            filter (where comparison_routes.route_class = run.compare) as acetate_routes,
        count(distinct comparison_routes.route_id)
            filter (where comparison_routes.route_class = run.beside) as chloride_routes
    from comparison_routes
    cross join run
    inner join comparison_zones using (storm_id, zone_id)
    where comparison_zones.is_compared and comparison_routes.left_out is null
    group by comparison_routes.season
),
rows_wanted as (
    select season, storm_id, zone_id, mixed_routes, unmeasured_routes, no_record_routes,
        not loses_too_much as has_ratios
    from comparison_zones
    union all by name
    select
        season,
        sum(mixed_routes) as mixed_routes,
        sum(unmeasured_routes) as unmeasured_routes,
        sum(no_record_routes) as no_record_routes,
        true as has_ratios
    from comparison_zones
    group by season
)
select
    rows_wanted.season,
    rows_wanted.storm_id,
    rows_wanted.zone_id,
    acetate.rate as acetate_rate,
    chloride.rate as chloride_rate,
    case when has_ratios then nullif(acetate.rate, 0) / nullif(chloride.rate, 0) end as rate_ratio,
    acetate.storm_lb as acetate_storm_lb,
    chloride.storm_lb as chloride_storm_lb,
    case when has_ratios and rows_wanted.storm_id is not null
        then nullif(acetate.storm_lb, 0) / nullif(chloride.storm_lb, 0) end as storm_ratio,
    acetate.applications as acetate_applications,
    chloride.applications as chloride_applications,
    case when has_ratios then nullif(acetate.applications, 0)
        / nullif(chloride.applications, 0) end as applications_ratio,
    acetate.cost_usd as acetate_cost_usd_per_lane_mi,
    chloride.cost_usd as chloride_cost_usd_per_lane_mi,
    case when has_ratios then nullif(acetate.cost_usd, 0)
        / nullif(chloride.cost_usd, 0) end as cost_ratio,
    acetate.regain_h as acetate_regain_h, chloride.regain_h as chloride_regain_h,
    cast(coalesce(acetate.routes, season_routes.acetate_routes, 0) as bigint) as acetate_routes,
    cast(coalesce(chloride.routes, season_routes.chloride_routes, 0) as bigint) as chloride_routes,
    cast(rows_wanted.mixed_routes as bigint) as mixed_routes,
    cast(rows_wanted.unmeasured_routes as bigint) as unmeasured_routes,
    cast(rows_wanted.no_record_routes as bigint) as no_record_routes,
    season_verdicts.* exclude (season)
from rows_wanted
cross join run
left join sides as acetate
    on acetate.season = rows_wanted.season and acetate.material_class = run.compare
    and acetate.storm_id is not distinct from rows_wanted.storm_id
        and acetate.zone_id is not distinct from rows_wanted.zone_id
left join sides as chloride
    on chloride.season = rows_wanted.season and chloride.material_class = run.beside
    and chloride.storm_id is not distinct from rows_wanted.storm_id
        and chloride.zone_id is not distinct from rows_wanted.zone_id
left join season_routes on season_routes.season = rows_wanted.season
    and rows_wanted.storm_id is null
left join season_verdicts
    on season_verdicts.season = rows_wanted.season and rows_wanted.storm_id is null
order by season, storm_id nulls first, zone_id nulls first;
