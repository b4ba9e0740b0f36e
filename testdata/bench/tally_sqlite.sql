-- What tally.sql computes, for SQLite. Times are seconds since 1970; truth values are 0 and 1.
create temp table judged as
select
    zones.district_id, stations.zone_id, observations.station_id, at_s, precip_in,
    coalesce(is_frozen_any_temp, 0)
        or coalesce(is_frozen_cold and coalesce(coalesce(surface_f, air_f) <= 40, 1), 0)
        or coalesce(is_cold_precip and coalesce(surface_f, air_f) <= 32, 0)
        or coalesce(not coalesce(has_precip, 0)
            and (precip_in > 0 or precip_is_trace) and coalesce(surface_f, air_f) <= 34, 0)
                as falls,
    coalesce(has_blowing_snow, 0) as drifts
from observations
inner join stations using (station_id)
inner join zones using (zone_id)
left join present_wx_codes using (present_wx);

create temp table runs as
with fell as (
    select *,
        max(case when falls then at_s end)
            over (partition by district_id order by at_s range unbounded preceding) as fell_s
    from judged
    where falls or drifts
),
wintry as (select * from fell where falls or at_s - fell_s <= 6 * 3600),
opened as (
    select *,
        case when coalesce(at_s - lag(at_s)
            over (partition by district_id order by at_s) > 6 * 3600, 1) then at_s end as opened_s
    from wintry
)
select *,
    max(opened_s) over (partition by district_id order by at_s range unbounded preceding) as run_s
from opened;

create temp table bench_storms as
with kept as (
    select district_id, run_s, min(at_s) as first_s, max(at_s) as last_s
    from runs
    group by district_id, run_s
    having count(distinct at_s) > 1 or (district_id, run_s) in (
        select district_id,
            run_s from (select district_id, run_s,
                sum(precip_in) as p from runs group by district_id, run_s, station_id)
                    where p >= 0.01
    )
),
seen as (select zone_id, run_s, min(at_s) as began_s,
    max(at_s) as ended_s from runs group by zone_id, run_s)
select kept.run_s, zones.zone_id, coalesce(seen.began_s, first_s) as began_s,
    coalesce(seen.ended_s, last_s) as ended_s
from kept
inner join zones using (district_id)
left join seen on seen.zone_id = zones.zone_id and seen.run_s = kept.run_s;
create index temp.storms_of_zone on bench_storms (zone_id, began_s);

create temp table bench_rates as
with placed as (
    select
        pass_key, passes.route_id, purpose, routes.zone_id, routes.lane_miles as route_lane_miles,
            at_s, class, form, dry_lb_per_gal,
        dispensed_lb, dispensed_gal, rate_set_lb_per_lane_mi,
        passes.material_id is not null
            and coalesce(case when form = 'liquid' then dispensed_gal else dispensed_lb end,
                1) <> 0 as treats,
        coalesce(
            passes.lane_miles,
            coalesce(nullif(abs(passes.to_mi - passes.from_mi), 0),
                case when passes.from_mi is null then abs(routes.to_mi - routes.from_mi) end)
            * coalesce(passes.lanes, routes.lanes_per_pass)
        ) as pass_lane_miles
    from passes
    inner join routes using (route_id)
    left join materials using (material_id)
),
measured as (
    select
        *,
        case when form = 'liquid' then dispensed_gal * dry_lb_per_gal else coalesce(dispensed_lb,
            rate_set_lb_per_lane_mi * pass_lane_miles) end as applied_lb,
        treats and coalesce(form = 'liquid', 0) as is_liquid
    from placed
),
near as (
    select
        measured.*, run_s, began_s, began_s - at_s as until_s, at_s - ended_s as since_s,
        coalesce(purpose = 'pretreat'
            and began_s - at_s between 0
                and 48 * 3600 or purpose = 'cleanup' and at_s - ended_s between 0 and 36 * 3600,
                    0) as named
    from measured
    inner join bench_storms
        as storms
            on storms.zone_id = measured.zone_id
                and began_s <= at_s + 48 * 3600 and at_s - ended_s <= 36 * 3600
),
candidates as (
    select *, max(until_s, since_s, 0) as distance_s,
        max(until_s <= 0 and since_s <= 0) over (partition by pass_key) as is_inside
    from near
    where named
        or until_s <= case when is_liquid then 48 else 12 end * 3600
            and since_s <= case when treats then 12 else 36 end * 3600
),
ranked as (
    select *, row_number() over (
        partition by pass_key order by named desc,
            is_liquid and not is_inside and until_s > 0 desc, distance_s, began_s, run_s
    ) as place
    from candidates
)
select
    run_s, route_id, class as material_class, form, count(*) as passes,
    sum(coalesce(pass_lane_miles, 0)) as treated_lane_miles,
    sum(applied_lb) as applied_lb,
    sum(applied_lb) filter (where pass_lane_miles is not null)
        / sum(pass_lane_miles) filter (where applied_lb is not null) as rate_lb_per_lane_mi,
    sum(applied_lb) / max(route_lane_miles) as storm_lb_per_lane_mi,
    sum(coalesce(pass_lane_miles, 0)) / max(route_lane_miles) as applications
from ranked
where place = 1 and treats
group by run_s, route_id, class, form;
