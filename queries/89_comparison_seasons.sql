-- comparison_seasons: acetate beside chloride routes over each season, with its verdicts.
-- grain:   one row per season
-- reads:   comparison
-- units:   those of comparison
-- empty:   those of comparison
-- formula: the rows of seasons
create or replace table comparison_seasons as
select
    season, acetate_rate, chloride_rate, rate_ratio, acetate_storm_lb, chloride_storm_lb,
    acetate_applications, chloride_applications, applications_ratio,
    acetate_cost_usd_per_lane_mi, chloride_cost_usd_per_lane_mi, cost_ratio, acetate_regain_h,
    chloride_regain_h, acetate_routes, chloride_routes, mixed_routes, unmeasured_routes,
    no_record_routes, storms, total_ratio, low90, high90, verdict, margin_shown_pct,
    applications_low90, applications_high90, applications_verdict, typical_ratio, typical_low90,
    typical_high90, zero_acetate, zero_chloride, end_ratio, end_low90, end_high90,
    regain_diff_h, regain_low90_h, regain_high90_h, regain_verdict, acetate_not_bare_share,
    chloride_not_bare_share, not_bare_diff, not_bare_low90, not_bare_high90, material_ratio,
    material_low90, material_high90, routes_changed, path_verdict, acetate_set_rate_share,
    chloride_set_rate_share, pounds_basis
from comparison
where storm_id is null
order by season;
