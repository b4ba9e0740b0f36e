-- storm_reasons: for a storm in which a route got more or less than usual there, how much of it was
--          applications and how much the rate.
-- grain:   one row per storm_id, route_id, material_class
-- reads:   storm_routes, storms, run, learning_residuals
-- units:   _lb_per_lane_mi pound per lane-mile; usual_ the season's median, low_ and high_ its
--          quartiles; log parts natural logarithms
-- empty:   no row inside the route's middle half or with under 8 storms; rate and parts without a
--          placed and measured pass; fit columns where the learning fit did not use the route in
--          that storm, fit_kind also without a spread of residuals
-- formula: total_log = ln(storm pounds / median) = applications_log + rate_log, rate_log = ln(rate
--          / median rate), so that usual applications are median pounds over median rate. A part is
--          named when it goes one way by at least a third of the whole. Storms count that are
--          closed, with pounds, and measured as the comparison asks; solids of each class alone
create or replace table storm_reasons as
with counted as (
    select
        storm_routes.season,
        storm_routes.storm_id,
        storm_routes.route_id,
        storm_routes.material_class,
        storm_routes.storm_lb_per_lane_mi,
        storm_routes.applications,
        nullif(storm_routes.rate_lb_per_lane_mi, 0) as rate_lb_per_lane_mi
    from storm_routes
    cross join run
    inner join storms using (storm_id, zone_id)
    where not storms.is_open
        and storm_routes.form = 'solid'
        and storm_routes.material_class in (run.compare, run.beside)
        and storm_routes.storm_lb_per_lane_mi > 0
        and storm_routes.unmeasured_passes * 1000000
            <= storm_routes.treating_passes * cast(run.unmeasured_share * 1e6 as bigint)
),
usual as (
    select
        season,
        route_id,
        material_class,
        count(*) as storms,
        median(storm_lb_per_lane_mi) as usual_storm_lb_per_lane_mi,
        quantile_cont(storm_lb_per_lane_mi, 0.25) as low_storm_lb_per_lane_mi,
        quantile_cont(storm_lb_per_lane_mi, 0.75) as high_storm_lb_per_lane_mi,
        median(rate_lb_per_lane_mi) as usual_rate_lb_per_lane_mi
    from counted
    group by season, route_id, material_class
),
split as (
    select
        counted.*,
        usual.* exclude (season, route_id, material_class),
        ln(counted.storm_lb_per_lane_mi / usual.usual_storm_lb_per_lane_mi) as total_log,
        ln(counted.rate_lb_per_lane_mi / usual.usual_rate_lb_per_lane_mi) as rate_log
    from counted
    inner join usual using (season, route_id, material_class)
    where usual.storms >= 8
        and not counted.storm_lb_per_lane_mi
            between usual.low_storm_lb_per_lane_mi and usual.high_storm_lb_per_lane_mi
),
parted as (
    select *, total_log - rate_log as applications_log
    from split
),
fits as (
    select
        storm_id,
        route_id,
        median(residual) as rate_residual,
        median(robust_deviations) as robust_deviations,
        bool_or(is_outlier) as is_outlier
    from learning_residuals
    group by storm_id, route_id
)
select
    parted.*,
    case when total_log > 0 then 'more than usual here'
        else 'less than usual here' end as total_kind,
    case
        when applications_log is null then null
        when 3 * abs(applications_log) < abs(total_log) then 'applications as usual'
        when applications_log > 0 then 'more applications'
        else 'fewer applications'
    end as applications_kind,
    case
        when rate_log is null then null
        when 3 * abs(rate_log) < abs(total_log) then 'rate as usual'
        when rate_log > 0 then 'higher rate'
        else 'lower rate'
    end as rate_kind,
    fits.rate_residual,
    fits.robust_deviations,
    case
        when fits.robust_deviations is null then null
        when abs(fits.robust_deviations) <= 1 then 'rate as fitted'
        when fits.robust_deviations > 0 then 'rate above the fit'
        else 'rate below the fit'
    end as fit_kind,
    fits.is_outlier
from parted
cross join run
left join fits
    on fits.storm_id = parted.storm_id and fits.route_id = parted.route_id
    and parted.material_class = run.compare
order by storm_id, route_id, material_class;
