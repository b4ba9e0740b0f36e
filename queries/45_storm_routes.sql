-- storm_routes: what each route got in each storm.
-- grain:   one row per storm_id, route_id, material_class, form
-- reads:   storm_passes, treatments, round_gaps, covered_shares, regains, storms
-- units:   _lane_mi and _lane_miles lane-mile; _lb pound; rates pound per lane-mile; _h hour; _min
--          minute; cost_usd US dollar; shares 0 to 1
-- empty:   a route without a pass in the storm has no row; material_class and form on the one row
--          of a route that had passes and no treating pass, with sums of 0; rates without a
--          denominator, set_rate_share without pounds; capped_regain_h and is_bare_in_cap of a
--          route without a treating pass; see treatments, covered_shares, regains
-- formula: definitions, "Per storm, route, material class and form": sums over sums, divided last
create or replace table storm_routes as
with visits as (
    select
        storm_passes.storm_id,
        storm_passes.route_id,
        any_value(storm_passes.season) as season,
        any_value(storm_passes.zone_id) as zone_id,
        any_value(storm_passes.route_ulane_mi) as route_ulane_mi,
        any_value(storm_passes.route_umi) as route_umi,
        string_agg(distinct storm_passes.crew_id, ';' order by storm_passes.crew_id) as crew_ids,
        count(*) filter (where storm_passes.is_treating) as treating_passes,
        count(*) filter (where not storm_passes.is_treating or storm_passes.plow_down)
            as plow_passes
    from storm_passes
    where storm_passes.storm_id is not null
    group by storm_passes.storm_id, storm_passes.route_id
),
rows_wanted as (
    select
        treatments.*,
        round_gaps.rounds,
        round_gaps.median_round_gap_h,
        covered_shares.covered_share
    from treatments
    left join round_gaps using (storm_id, route_id, material_class, form)
    left join covered_shares using (storm_id, route_id, material_class, form)
    union all by name
    select
        storm_id,
        route_id,
        season,
        zone_id,
        route_ulane_mi,
        crew_ids,
        0 as treating_passes,
        0 as unmeasured_passes,
        0 as treated_ulane_mi,
        0 as measured_ulane_mi,
        0 as applied_ulb,
        0 as unplaced_ulb,
        0 as prewet_ulb,
        0 as chloride_ulb,
        0 as cost_uusd,
        0 as rounds,
        case when route_umi > 0 then 0.0 end as covered_share
    from visits
    where treating_passes = 0
)
select
    rows_wanted.season,
    rows_wanted.storm_id,
    rows_wanted.zone_id,
    rows_wanted.route_id,
    rows_wanted.material_class,
    rows_wanted.form,
    rows_wanted.crew_ids,
    rows_wanted.route_ulane_mi / 1e6 as route_lane_miles,
    rows_wanted.treated_ulane_mi / 1e6 as treated_lane_miles,
    rows_wanted.measured_ulane_mi / 1e6 as measured_lane_miles,
    rows_wanted.applied_ulb / 1e6 as applied_lb,
    rows_wanted.unplaced_ulb / 1e6 as unplaced_lb,
    rows_wanted.prewet_ulb / 1e6 as prewet_lb,
    (rows_wanted.applied_ulb - rows_wanted.unplaced_ulb)
        / nullif(rows_wanted.measured_ulane_mi, 0) as rate_lb_per_lane_mi,
    rows_wanted.applied_ulb / nullif(rows_wanted.route_ulane_mi, 0) as storm_lb_per_lane_mi,
    rows_wanted.treated_ulane_mi / nullif(rows_wanted.route_ulane_mi, 0) as applications,
    rows_wanted.covered_share,
    rows_wanted.rounds,
    rows_wanted.median_round_gap_h,
    rows_wanted.treating_passes,
    rows_wanted.unmeasured_passes,
    visits.plow_passes,
    rows_wanted.first_application_at,
    (epoch_us(rows_wanted.first_application_at) - epoch_us(storms.began_at)) / 6e7 as onset_lag_min,
    rows_wanted.cold_ulane_mi / nullif(rows_wanted.cold_known_ulane_mi, 0) as cold_share,
    rows_wanted.windy_ulane_mi / nullif(rows_wanted.windy_known_ulane_mi, 0) as wind_share,
    regains.regain_h,
    regains.regain_state,
    rows_wanted.chloride_ulb / 1e6 as chloride_lb,
    rows_wanted.cost_uusd / 1e6 as cost_usd,
    rows_wanted.set_rate_ulb / nullif(rows_wanted.applied_ulb, 0) as set_rate_share,
    case when visits.treating_passes > 0 then regains.capped_regain_h end as capped_regain_h,
    case when visits.treating_passes > 0 then regains.is_bare_in_cap end as is_bare_in_cap
from rows_wanted
inner join visits using (storm_id, route_id)
inner join storms on storms.storm_id = rows_wanted.storm_id and storms.zone_id = rows_wanted.zone_id
left join regains using (storm_id, route_id)
order by storm_id, route_id, material_class nulls first, form nulls first;
