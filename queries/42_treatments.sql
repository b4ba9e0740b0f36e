-- treatments: exact sums over the treating passes of a route in a storm, by material class and
--          form.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   storm_passes
-- units:   _ulane_mi millionth of a lane-mile; _ulb millionth of a pound; cost_uusd millionth of a
--          dollar; passes a number
-- empty:   applied_ulb where no pass is measured; prewet_ulb where prewet was given and none is
--          known; chloride_ulb and cost_uusd where no pounds are known; cost_uusd where a price is
--          missing for pounds other than 0; the shares' sums where nothing is known
-- formula: definitions, "Per storm, route, material class and form"
create or replace table treatments as
select
    storm_id,
    route_id,
    material_class,
    form,
    any_value(season) as season,
    any_value(zone_id) as zone_id,
    any_value(route_ulane_mi) as route_ulane_mi,
    string_agg(distinct crew_id, ';' order by crew_id) as crew_ids,
    count(*) as treating_passes,
    count(*) filter (where not is_measured) as unmeasured_passes,
    min(began_at) as first_application_at,
    coalesce(sum(lane_ulane_mi), 0) as treated_ulane_mi,
    coalesce(sum(lane_ulane_mi) filter (where is_measured), 0) as measured_ulane_mi,
    sum(applied_ulb) as applied_ulb,
    coalesce(sum(applied_ulb) filter (where is_by_set_rate), 0) as set_rate_ulb,
    case when bool_or(is_measured)
        then coalesce(sum(applied_ulb) filter (where not is_placed), 0) end as unplaced_ulb,
    case when bool_or(coalesce(has_prewet, false)) then sum(prewet_ulb) else 0 end as prewet_ulb,
    case
        when bool_or(is_measured or prewet_ulb > 0) then sum(chloride_ulb)
    end as chloride_ulb,
    case
        when bool_or(cost_uusd is null) then null
        when bool_or(is_measured or prewet_ulb > 0) then sum(cost_uusd)
    end as cost_uusd,
    coalesce(sum(lane_ulane_mi) filter (where is_cold), 0) as cold_ulane_mi,
    coalesce(sum(lane_ulane_mi) filter (where is_cold is not null), 0) as cold_known_ulane_mi,
    coalesce(sum(lane_ulane_mi) filter (where is_windy), 0) as windy_ulane_mi,
    coalesce(sum(lane_ulane_mi) filter (where is_windy is not null), 0) as windy_known_ulane_mi
from storm_passes
where storm_id is not null and is_treating
group by storm_id, route_id, material_class, form
order by storm_id, route_id, material_class, form;
