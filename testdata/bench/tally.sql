-- The yardstick of the tally's speed: storms, the storm of each pass, and rates, and nothing else,
-- as an analyst would write them by hand. Reads the tables in force of a ledger: passes,
-- observations, present_wx_codes, and zones, stations, routes, materials. Leaves declared storms,
-- readings that are left out, and all else of the definitions aside. Storms are named by their
-- run's begin.
create or replace temp table bench_storms as
with judged as (
    select
        zones.district_id,
        stations.zone_id,
        observations.station_id,
        epoch(observations.observed_at) as at_s,
        observations.precip_in,
        coalesce(is_frozen_any_temp, false)
            or coalesce(is_frozen_cold and coalesce(coalesce(surface_f, air_f) <= 40, true), false)
            or coalesce(is_cold_precip and coalesce(surface_f, air_f) <= 32, false)
            or coalesce(not coalesce(has_precip, false)
                and (precip_in > 0 or precip_is_trace) and coalesce(surface_f, air_f) <= 34,
                    false) as falls,
        coalesce(has_blowing_snow, false) as drifts
    from observations
    inner join stations using (station_id)
    inner join zones using (zone_id)
    left join present_wx_codes using (present_wx)
),
wintry as (
    select judged.*
    from judged
    asof left join (select distinct district_id, at_s from judged where falls) as fell
        on fell.district_id = judged.district_id and fell.at_s <= judged.at_s
    where judged.falls or judged.drifts and judged.at_s - fell.at_s <= 6 * 3600
),
opened as (
    select *,
        case when coalesce(at_s - lag(at_s)
            over (partition by district_id order by at_s) > 6 * 3600, true) then at_s end
                as opened_s
    from wintry
),
runs as (
    select *,
        max(opened_s)
            over (partition by district_id order by at_s range unbounded preceding) as run_s
    from opened
),
kept as (
    select district_id, run_s, min(at_s) as first_s, max(at_s) as last_s
    from runs
    group by all
    having count(distinct at_s) > 1 or (district_id, run_s) in (
        select (district_id, run_s)
        from (select district_id, run_s,
            sum(precip_in) as precip_in from runs group by district_id, run_s, station_id)
        where precip_in >= 0.01
    )
)
select kept.run_s, zones.zone_id, coalesce(min(runs.at_s), any_value(first_s)) as began_s,
    coalesce(max(runs.at_s), any_value(last_s)) as ended_s
from kept
inner join zones using (district_id)
left join runs on runs.zone_id = zones.zone_id and runs.run_s = kept.run_s
group by kept.run_s, zones.zone_id;

create or replace temp table bench_rates as
with measured as (
    select
        passes.pass_key,
        passes.route_id,
        passes.purpose,
        routes.zone_id,
        routes.lane_miles as route_lane_miles,
        epoch(passes.began_at) as at_s,
        materials.class,
        materials.form,
        passes.material_id is not null
            and coalesce(case when form = 'liquid' then dispensed_gal else dispensed_lb end,
                1) <> 0 as treats,
        coalesce(
            passes.lane_miles,
            coalesce(nullif(abs(passes.to_mi - passes.from_mi), 0),
                case when passes.from_mi is null then abs(routes.to_mi - routes.from_mi) end)
            * coalesce(passes.lanes, routes.lanes_per_pass)
        ) as pass_lane_miles,
        case
            when form = 'liquid' then dispensed_gal * dry_lb_per_gal
            else coalesce(dispensed_lb, rate_set_lb_per_lane_mi * pass_lane_miles)
        end as applied_lb
    from passes
    inner join routes using (route_id)
    left join materials using (material_id)
),
near as (
    select
        measured.*,
        storms.run_s,
        storms.began_s,
        storms.began_s - at_s as until_s,
        at_s - storms.ended_s as since_s,
        coalesce(purpose = 'pretreat'
            and until_s between 0
                and 48 * 3600 or purpose = 'cleanup' and since_s between 0 and 36 * 3600, false)
                    as named,
        treats and form = 'liquid' as is_liquid
    from measured
    inner join bench_storms as storms
        on storms.zone_id = measured.zone_id
            and storms.began_s - at_s <= 48 * 3600 and at_s - storms.ended_s <= 36 * 3600
),
candidates as (
    select *, greatest(until_s, since_s, 0) as distance_s,
        bool_or(until_s <= 0 and since_s <= 0) over (partition by pass_key) as is_inside
    from near
    where named
        or until_s <= case when is_liquid then 48 else 12 end * 3600
            and since_s <= case when treats then 12 else 36 end * 3600
),
chosen as (
    select *
    from candidates
    qualify row_number() over (
        partition by pass_key order by named desc,
            is_liquid and not is_inside and until_s > 0 desc, distance_s, began_s, run_s
    ) = 1
)
select
    run_s,
    route_id,
    class as material_class,
    form,
    count(*) as passes,
    sum(coalesce(pass_lane_miles, 0)) as treated_lane_miles,
    sum(applied_lb) as applied_lb,
    sum(applied_lb) filter (where pass_lane_miles is not null)
        / sum(pass_lane_miles) filter (where applied_lb is not null) as rate_lb_per_lane_mi,
    sum(applied_lb) / any_value(route_lane_miles) as storm_lb_per_lane_mi,
    sum(coalesce(pass_lane_miles, 0)) / any_value(route_lane_miles) as applications
from chosen
where treats
group by all;
