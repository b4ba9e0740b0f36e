-- comparison_storms: acetate beside chloride routes, storm by storm.
-- grain:   one row per storm_id, zone_id
-- reads:   comparison
-- units:   those of comparison
-- empty:   those of comparison
-- formula: the rows of storms
create or replace table comparison_storms as
select
    season, storm_id, zone_id, acetate_rate, chloride_rate, rate_ratio, acetate_storm_lb,
    chloride_storm_lb, storm_ratio, acetate_applications, chloride_applications,
    applications_ratio, acetate_cost_usd_per_lane_mi, chloride_cost_usd_per_lane_mi, cost_ratio,
    acetate_regain_h, chloride_regain_h, acetate_routes, chloride_routes, mixed_routes,
    unmeasured_routes, no_record_routes
from comparison
where storm_id is not null
order by season, storm_id, zone_id;
