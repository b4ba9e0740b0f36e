-- service_rows: how long routes of the compared class took to come bare, with their crews'
--          experience.
-- grain:   one row per storm_id, route_id
-- reads:   storm_routes, crew_storms, storms, run
-- units:   response_h hour; air_f_mean degree Fahrenheit; intensity inch per hour; freezing 0 or
--          1; x doublings of 1 + storms worked
-- empty:   response_h unless regain_state is bare or not bare; x where no crew's pounds are known;
--          a covariate that the zone lacks; route-storms without its solids, and open storms, have
--          no row
-- formula: definitions, "Learning", service guard: regain_h, for a route that was not bare the
--          length of its window, marked; x the pounds-weighted mean of its crews' x, weights in
--          millionths of a pound
create or replace table service_rows as
with zone_storms as (
    select
        storm_id,
        zone_id,
        is_open,
        air_f_mean,
        precip_in / greatest(hours, 1.0) as intensity,
        case when freezing_h is not null then cast(freezing_h >= 0.5 as double) end as freezing,
        least(
            epoch_us(lead(began_at) over (partition by zone_id order by began_at, storm_id))
                - epoch_us(ended_at),
            cast(run.regain_cap_h * 3600000000 as bigint)
        ) / 3.6e9 as window_h
    from storms
    cross join run
),
experience as (
    select
        storm_id,
        route_id,
        sum(cast(round_even(log2(1.0 + prior_storms) * 1e12, 0) as hugeint)
            * cast(round_even(applied_lb * 1e6, 0) as hugeint))
            / nullif(sum(cast(round_even(applied_lb * 1e6, 0) as hugeint)), 0) / 1e12 as x
    from crew_storms
    cross join run
    where material_class = run.compare and form = 'solid'
    group by storm_id, route_id
)
select
    storm_routes.season,
    storm_routes.storm_id,
    storm_routes.route_id,
    storm_routes.regain_state,
    storm_routes.regain_state = 'not bare' as is_not_bare,
    case storm_routes.regain_state
        when 'bare' then storm_routes.regain_h
        when 'not bare' then zone_storms.window_h
    end as response_h,
    experience.x,
    zone_storms.air_f_mean,
    zone_storms.intensity,
    zone_storms.freezing
from storm_routes
cross join run
inner join zone_storms
    on zone_storms.storm_id = storm_routes.storm_id and zone_storms.zone_id = storm_routes.zone_id
left join experience
    on experience.storm_id = storm_routes.storm_id and experience.route_id = storm_routes.route_id
where storm_routes.material_class = run.compare and storm_routes.form = 'solid'
    and not zone_storms.is_open
order by storm_id, route_id;
