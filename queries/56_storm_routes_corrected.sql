-- storm_routes_corrected: what each route got of solids in each storm by the pounds that were
--          weighed, beside storm_routes.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   storm_passes, pass_corrections
-- units:   corrected_lb pound; corrected_placed_ulb millionth of a pound, on lane-miles;
--          corrected_rate_lb_per_lane_mi pound per lane-mile; passes numbers
-- empty:   corrected_lb and the rate unless every measured pass of the row has corrected pounds;
--          the rate without a placed pass; corrected_placed_ulb where there is no rate
-- formula: definitions, "Per storm, route, material class and form", with corrected pounds for
--          reported ones
create or replace table storm_routes_corrected as
with sums as (
    select
        storm_id,
        route_id,
        material_class,
        form,
        count(*) filter (where is_measured) as measured_passes,
        count(*) filter (where is_measured and corrected_ulb is not null) as corrected_passes,
        sum(corrected_ulb) filter (where is_measured) as corrected_ulb,
        coalesce(sum(corrected_ulb) filter (where is_measured and is_placed), 0) as placed_ulb,
        coalesce(sum(lane_ulane_mi) filter (where is_measured), 0) as measured_ulane_mi
    from storm_passes
    inner join pass_corrections using (pass_no)
    where storm_id is not null
    group by storm_id, route_id, material_class, form
),
judged as (
    select
        *,
        corrected_passes = measured_passes and corrected_passes > 0 and measured_ulane_mi > 0
            as has_rate
    from sums
)
select
    storm_id,
    route_id,
    material_class,
    form,
    measured_passes,
    corrected_passes,
    case when corrected_passes = measured_passes then corrected_ulb / 1e6 end as corrected_lb,
    case when has_rate then placed_ulb end as corrected_placed_ulb,
    case when has_rate then placed_ulb / measured_ulane_mi end as corrected_rate_lb_per_lane_mi
from judged
order by storm_id, route_id, material_class, form;
