-- learning_rows: the compared class's solids by crew, storm and route: what the curve is fitted on.
-- grain:   one row per storm_id, crew_id, route_id
-- reads:   crew_storms, routes, storms, run
-- units:   rate_lb_per_lane_mi pound per lane-mile; air_f_mean degree Fahrenheit; intensity inch
--          per hour; freezing 0 or 1; prior_storms a number; x doublings of 1 + prior_storms;
--          storm_date a local date
-- empty:   a covariate that the route's zone lacks in the storm; rows whose learning_use is not
--          used have no row
-- formula: definitions, "Learning", curve: x = log2(1 + prior_storms), intensity = precip_in /
--          max(hours, 1), freezing = 1 from freezing_h 0.5 on
create or replace table learning_rows as
with begun as (
    select storm_id, min(run_began_at) as run_began_at
    from storms
    group by storm_id
)
select
    crew_storms.season,
    crew_storms.storm_id,
    crew_storms.crew_id,
    crew_storms.route_id,
    cast(timezone(run.time_zone, begun.run_began_at) as date) as storm_date,
    cast(crew_storms.prior_storms as bigint) as prior_storms,
    log2(1.0 + crew_storms.prior_storms) as x,
    crew_storms.rate_lb_per_lane_mi,
    storms.air_f_mean,
    storms.precip_in / greatest(storms.hours, 1.0) as intensity,
    case when storms.freezing_h is not null
        then cast(storms.freezing_h >= 0.5 as double) end as freezing
from crew_storms
cross join run
inner join routes using (route_id)
inner join begun using (storm_id)
inner join storms on storms.storm_id = crew_storms.storm_id and storms.zone_id = routes.zone_id
where crew_storms.learning_use = 'used'
order by storm_id, crew_id, route_id;
